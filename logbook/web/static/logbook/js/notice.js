// The line above the bench page that says what still waits for the network, and why.

function button(text, act) {
  const made = document.createElement("button");
  made.type = "button";
  made.className = "plain";
  made.textContent = text;
  made.addEventListener("click", act);
  return made;
}

function counted(number) {
  return number === 1 ? "1 reading waiting" : `${number} readings waiting`;
}

function refusedLine(entry, acts) {
  const line = document.createElement("p");
  line.append(`${entry.label} was refused: ${entry.refused} `);
  if (entry.refused.includes("Record anyway")) line.append(button("Record anyway", () => acts.insist(entry)), " ");
  line.append(button("Discard it", () => acts.discard(entry)));
  return line;
}

export function showWaiting(entries, why, acts) {
  const place = document.getElementById("waiting");
  const refused = entries.filter((entry) => entry.refused);
  const open = entries.length - refused.length;
  place.hidden = entries.length === 0;
  place.replaceChildren();
  if (open > 0) {
    const line = document.createElement("p");
    const count = document.createElement("strong");
    count.textContent = counted(open);
    line.append(count, `, kept on this computer. ${why} `, button("Try now", acts.retry));
    place.append(line);
  }
  place.append(...refused.map((entry) => refusedLine(entry, acts)));
}
