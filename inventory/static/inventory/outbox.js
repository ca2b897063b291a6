// What is sent until it is answered: kept in this browser, tried again and again, and
// recorded once, because the same request id goes along every time.
"use strict";

/** Return a UUID; randomUUID is missing where the page came without encryption. */
const newId = () => {
  if (crypto.randomUUID) return crypto.randomUUID();
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 15) | 64;
  bytes[8] = (bytes[8] & 63) | 128;
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})/, "$1-$2-$3-$4-");
};

/** A corner of the browser's own store, by a prefix; `lost` is called if there is none.

    Other windows write there too: `seen` is what this one last wrote or read. */
class Keep {
  constructor(prefix, lost) {
    Object.assign(this, { prefix, lost, works: true, seen: new Map() });
    this.try(() => {
      localStorage.setItem(prefix, "");
      localStorage.removeItem(prefix);
    });
  }

  /** Do something with the store, which may be forbidden or full. */
  try(deed) {
    if (!this.works) return;
    try {
      deed();
    } catch {
      this.works = false;
      this.lost();
    }
  }

  set(key, value) {
    const text = JSON.stringify(value);
    this.seen.set(key, text);
    this.try(() => localStorage.setItem(this.prefix + key, text));
  }

  remove(key) {
    this.seen.delete(key);
    this.try(() => localStorage.removeItem(this.prefix + key));
  }

  text(key) {
    return localStorage.getItem(this.prefix + key) ?? undefined;
  }

  /** Return whether another window has written or removed this since. */
  isChanged(key) {
    return this.works && this.text(key) !== this.seen.get(key);
  }

  /** Return what is kept under a key; nothing if that is none, or cannot be read. */
  get(key) {
    const text = this.text(key);
    if (text === undefined) this.seen.delete(key);
    else this.seen.set(key, text);
    try {
      return text && JSON.parse(text);
    } catch {
      return undefined;
    }
  }

  /** Return [key, value] of all that is kept here; no value where it cannot be read. */
  all() {
    const names = this.works ? Object.keys(localStorage) : [];
    const ours = names.filter((name) => name.startsWith(this.prefix));
    const keys = ours.map((name) => name.slice(this.prefix.length));
    return keys.map((key) => [key, this.get(key)]);
  }
}

/** One thing after the other is sent; what fails is tried again, ever more rarely.

    `waiting()` gives what is to be sent, in order, each with an `item` that counts its
    `tries`; `attempt` sends one and returns why that failed, or nothing; `failed` is
    told the reason. */
class Outbox {
  static RETRY_MS = [2000, 4000, 8000, 16000, 30000, 60000];

  constructor(deeds) {
    Object.assign(this, deeds, { busy: false, failures: 0, timer: 0 });
    const again = () => {
      this.failures = 0;
      this.send();
    };
    window.addEventListener("online", again);
    window.addEventListener("focus", again);
    document.addEventListener("visibilitychange", again);
  }

  async send() {
    // One that the server cannot take does not hold up those behind it.
    const [first] = this.waiting().sort((one, other) => one.item.tries - other.item.tries);
    if (this.busy || !first) return;
    clearTimeout(this.timer);
    this.busy = true;
    const problem = await this.attempt(first).finally(() => (this.busy = false));
    if (!problem) {
      this.failures = 0;
      this.send();
      return;
    }
    this.failed(problem);
    const ms = Outbox.RETRY_MS;
    this.timer = setTimeout(() => this.send(), ms[Math.min(this.failures, ms.length - 1)]);
    this.failures += 1;
  }
}

/** Post to our server; return its status and JSON: 0 is no connection, 401 logged out,
    403 logged in without the right to this. */
const post = async (url, data, formToken) => {
  if (!navigator.onLine) return [0, {}];
  // The cookie's: whoever logged in again has a new token, and the page an old one.
  const cookie = /(?:^|; )csrftoken=([^;]+)/.exec(document.cookie)?.[1];
  try {
    const response = await fetch(url, {
      method: "POST",
      body: data,
      redirect: "manual", // A session that has ended leads to the log-in page.
      headers: { "X-CSRFToken": cookie || formToken },
      signal: AbortSignal.timeout(20000),
    });
    // Where the cookies are gone the form is refused before anyone is asked to log in.
    const isForged = response.status === 403 && !cookie;
    if (response.type === "opaqueredirect" || isForged) return [401, {}];
    const isJson = response.headers.get("Content-Type")?.startsWith("application/json");
    if (isJson) return [response.status, await response.json()];
    return [response.ok ? 0 : response.status, {}]; // A page that is not ours, as in a hotel.
  } catch {
    return [0, {}];
  }
};
