// Which key does what on the bench page. Letters are keys while nothing is being typed; in the empty value
// field those letters are too with which no value begins.

const ACTIONS = { w: "withdraw", n: "note", j: "on", k: "back", e: "entry", "?": "help" };
const IN_EMPTY_FIELD = new Set(["w", "j", "k", "?"]);
const WITH_ALT = { KeyW: "withdraw", KeyN: "note", KeyJ: "on", KeyK: "back", KeyE: "entry", Slash: "help" };
const IN_FIELD = { ArrowDown: "on", ArrowUp: "back", Escape: "leave" };

function isTypedIn(element) {
  return element.matches("textarea, select, input:not([type=checkbox], [type=radio], [type=hidden])");
}

export function actionOf(event, lettersAreKeys) {
  if (event.ctrlKey || event.metaKey || event.isComposing) return "";
  if (event.altKey) return WITH_ALT[event.code] || "";
  const element = event.target;
  if (element.id === "reads") {
    if (event.key in IN_FIELD) return IN_FIELD[event.key];
    const isFree = element.value === "" && IN_EMPTY_FIELD.has(event.key);
    return lettersAreKeys && isFree ? ACTIONS[event.key] : "";
  }
  if (isTypedIn(element)) return event.key === "Escape" ? "entry" : "";
  return lettersAreKeys ? ACTIONS[event.key] || "" : "";
}
