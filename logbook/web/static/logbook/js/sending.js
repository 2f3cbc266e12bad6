// Talks to the site: every answer meant for the bench page says so in a header. Anything else (a sign-in
// page, a fault, no network at all) means that the site does not have the reading yet.

const MARK = "X-Logbook-Fragment";
const ADDRESS = "X-Logbook-Address";
const PATIENCE_MS = 5_000;

export class NotReached extends Error {}

async function answer(url, options) {
  let response;
  try {
    const signal = AbortSignal.timeout(PATIENCE_MS);
    response = await fetch(url, { ...options, headers: { ...options.headers, [MARK]: "bench" }, signal });
  } catch (failure) {
    throw new NotReached("No network.", { cause: failure });
  }
  if (response.headers.get(MARK) === "bench") {
    const url = response.headers.get(ADDRESS) || response.url;
    return { ok: response.ok, html: await response.text(), url };
  }
  const signIn = response.redirected || response.status === 403;
  const why = signIn ? "The site asks you to sign in again: load this page anew." : `The site answered ${response.status}.`;
  throw new NotReached(why);
}

export function post(url, body) {
  const token = document.querySelector("[name=csrfmiddlewaretoken]");
  const sent = new URLSearchParams(body);
  if (token) sent.set("csrfmiddlewaretoken", token.value);
  return answer(url, { method: "POST", body: sent });
}

export function get(url) {
  return answer(url, { cache: "no-store" });
}

export function problemsIn(html) {
  const page = new DOMParser().parseFromString(html, "text/html");
  const found = [...page.querySelectorAll(".problems, #entry [role=alert] p")];
  return found.map((one) => one.textContent.trim()).join(" ");
}
