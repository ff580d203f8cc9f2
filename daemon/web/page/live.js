// Keeps the page up to date: the daemon reports a change, the page asks again. After a sleep, a lost network or a
// restarted daemon it asks at once, because missed events are not repeated.
//
// A browser opens six connections to one place. So a hidden page listens to none and asks once a minute, for the number in
// its title; and of those that are seen one listens for all, where the browser has locks.

const kSlept_ms = 20000;
const kHidden_ms = 60000;

export class Live {
  // refresh(): asks and shows; throws what ask() throws. state(ok, text): the state of the connection.
  constructor(refresh, state) {
    this.refresh = refresh;
    this.state = state;
    this.pause = 1000;
    this.hiddenAt = 0;
    this.others = globalThis.BroadcastChannel && navigator.locks ? new BroadcastChannel('gylekeeper') : null;
    this.others?.addEventListener('message', () => { if (!document.hidden) this.soon(); });
    addEventListener('online', () => this.again());
    addEventListener('offline', () => this.lost('No connection'));
    addEventListener('acted', () => this.again());
    addEventListener('pageshow', (event) => { if (event.persisted) this.woke(); });
    document.addEventListener('visibilitychange', () => {
      if (document.hidden) this.hide();
      else this.woke();
    });
    // A sleeping phone fires no timer: a late one shows that it slept.
    let ticked = Date.now();
    setInterval(() => {
      if (Date.now() - ticked > kSlept_ms + 5000) this.woke();
      ticked = Date.now();
    }, 5000);
    setInterval(() => { if (document.hidden) this.again(); }, kHidden_ms);
  }

  start() { if (!document.hidden) this.listen(); }

  hide() {
    this.hiddenAt = Date.now();
    this.deaf();
  }

  woke() {
    if (document.hidden) return;
    if (!this.turn || Date.now() - this.hiddenAt > kSlept_ms) this.listen();  // the old connection may be dead without knowing
    this.again();
  }

  // Waits for its turn, if another page listens for this one.
  listen() {
    this.deaf();
    const turn = new AbortController();
    this.turn = turn;
    if (!this.others) { this.open(); return; }
    navigator.locks.request('gylekeeper-events', { signal: turn.signal }, () => new Promise((resolve) => {
      if (turn.signal.aborted) { resolve(); return; }
      turn.signal.addEventListener('abort', resolve);
      this.open();
      this.soon();
    })).catch(() => {});
  }

  deaf() {
    this.turn?.abort();
    this.turn = null;
    this.source?.close();
    this.source = null;
  }

  open() {
    const source = new EventSource('/v1/events');
    this.source = source;
    source.addEventListener('changed', () => { this.soon(); this.others?.postMessage('changed'); });
    source.addEventListener('open', () => { if (this.missed) this.again(); });
    source.addEventListener('error', () => {
      if (this.source !== source) return;
      this.missed = true;
      this.others?.postMessage('missed');
      // A refused EventSource does not retry by itself.
      if (source.readyState === EventSource.CLOSED) this.retry();
      else this.again();
    });
  }

  // Not more often than once a second, however much changes; a hidden page asks when it is seen again.
  soon() {
    this.waiting ??= setTimeout(() => { this.waiting = null; if (!document.hidden) this.again(); }, 1000);
  }

  async again() {
    if (this.busy) { this.more = true; return; }
    this.busy = true;
    try {
      do { this.more = false; await this.refresh(); } while (this.more);
      this.pause = 1000;
      this.missed = false;
      clearTimeout(this.timer);
      this.timer = null;
      this.state(true, '');
      if (this.source && this.source.readyState === EventSource.CLOSED) this.listen();
    } catch (error) {
      if (!('status' in error)) throw error;
      if (error.status === 0) this.lost('No connection');
      else if (error.status >= 500) this.lost(`The daemon reports an error: ${error.message}`);
      else this.state(true, error.message);
    } finally {
      this.busy = false;
    }
  }

  lost(what) {
    this.missed = true;
    this.state(false, what);
    this.retry();
  }

  retry() {
    this.timer ??= setTimeout(() => {
      this.timer = null;
      this.pause = Math.min(this.pause * 1.6, 15000);
      this.again();
    }, this.pause);
  }
}
