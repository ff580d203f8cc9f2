// Keeps the page up to date: the daemon reports a change, the page asks again. After a sleep, a lost network or a
// restarted daemon it asks at once, because missed events are not repeated.

const kSlept_ms = 20000;

export class Live {
  // refresh(): asks and shows; throws what ask() throws. state(ok, text): the state of the connection.
  constructor(refresh, state) {
    this.refresh = refresh;
    this.state = state;
    this.pause = 1000;
    this.hiddenAt = 0;
    addEventListener('online', () => this.again());
    addEventListener('offline', () => this.lost());
    addEventListener('acted', () => this.again());
    addEventListener('pageshow', (event) => { if (event.persisted) this.woke(); });
    document.addEventListener('visibilitychange', () => {
      if (document.hidden) this.hiddenAt = Date.now();
      else this.woke();
    });
    // A sleeping phone fires no timer: a late one shows that it slept.
    let ticked = Date.now();
    setInterval(() => {
      if (Date.now() - ticked > kSlept_ms + 5000) this.woke();
      ticked = Date.now();
    }, 5000);
  }

  start() { this.listen(); }

  woke() {
    if (Date.now() - this.hiddenAt > kSlept_ms) this.listen();  // the old connection may be dead without knowing
    this.again();
  }

  listen() {
    this.source?.close();
    this.source = new EventSource('/v1/events');
    this.source.addEventListener('changed', () => this.soon());
    this.source.addEventListener('open', () => { if (this.missed) this.again(); });
    this.source.addEventListener('error', () => {
      this.missed = true;
      // A refused EventSource does not retry by itself.
      if (this.source.readyState === EventSource.CLOSED) this.retry();
      else this.again();
    });
  }

  // Not more often than once a second, however much changes.
  soon() {
    this.waiting ??= setTimeout(() => { this.waiting = null; this.again(); }, 1000);
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
      if (error.status === 0 || error.status >= 500) this.lost();
      else this.state(true, error.message);
    } finally {
      this.busy = false;
    }
  }

  lost() {
    this.missed = true;
    this.state(false, 'No connection');
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
