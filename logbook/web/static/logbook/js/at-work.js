// Asks how far the background work is, and shows the page anew once it is done.

const line = document.getElementById("at-work");
const bar = line.querySelector("progress");
let pause = 400;

async function look() {
  try {
    const answer = await fetch(line.dataset.state, { headers: { Accept: "application/json" } });
    if (answer.ok) {
      const state = await answer.json();
      if (bar) bar.value = state.progress;
      if (!state.at_work) return location.reload();
    }
  } catch {
    // The network may be back by the next time.
  }
  pause = Math.min(pause * 1.4, 5000);
  return setTimeout(look, pause);
}

setTimeout(look, pause);
