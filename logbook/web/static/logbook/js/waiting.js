// Readings that could not be sent yet. They are kept in this browser, for one person, until the site has
// them. Each carries its own key, so sending one twice stores it once.

const PREFIX = "logbook.waiting.";

export class Waiting {
  constructor(person) {
    this.place = PREFIX + person;
  }

  all() {
    try {
      return JSON.parse(localStorage.getItem(this.place)) || [];
    } catch {
      return [];
    }
  }

  put(entry) {
    this.#store([...this.all().filter((one) => one.key !== entry.key), entry]);
  }

  remove(key) {
    this.#store(this.all().filter((one) => one.key !== key));
  }

  #store(entries) {
    localStorage.setItem(this.place, JSON.stringify(entries));
  }
}

export function newKey() {
  // randomUUID exists on secure pages only; a bench server on the local network may be none.
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
}
