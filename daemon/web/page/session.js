// Requests. Reading needs no secret on the brewer's own machine; a change does, and asks for it once.
import { h, toast } from './dom.js';
import { now, seconds } from './show.js';

export class Refused extends Error {
  constructor(status, detail) { super(detail); this.status = status; }
}

async function send(path, options) {
  let answer;
  try {
    answer = await fetch(path, { credentials: 'same-origin', cache: 'no-cache', signal: AbortSignal.timeout(15000), ...options });
  } catch {
    throw new Refused(0, 'The daemon cannot be reached.');
  }
  const text = await answer.text();
  let body = null;
  try { body = text ? JSON.parse(text) : null; } catch { /* not JSON */ }
  if (!answer.ok) throw new Refused(answer.status, body?.detail ?? `The daemon answered ${answer.status}.`);
  // The daemon is away; the service worker had its last answer.
  const kept = answer.headers.get('X-Kept-S');
  if (kept !== null && body) body.kept_s = Number(kept);
  return body;
}

// Another machine sees no page without the token. What is read in the background asks for it once: after "Not now"
// the page's button does.
export async function ask(path) {
  for (;;) {
    try {
      return await send(path);
    } catch (error) {
      if (error.status !== 401 || declined || !await signInToLook()) throw error;
    }
  }
}

export const signInToLook = () => signIn('To look into this cellar from here, sign in.');

// A complete list that comes in pages, under its key in the answer.
export async function askAll(path, key) {
  const list = [];
  for (let next = ''; next !== undefined;) {
    const page = await ask(path + (next && `?cursor=${encodeURIComponent(next)}`));
    list.push(...page[key]);
    next = page.next;
  }
  return list;
}

const post = (path, body, type) => send(path, {
  method: 'POST', headers: { 'Content-Type': type, 'X-Gylekeeper': '1' }, body,
});
const remove = (path) => send(path, { method: 'DELETE', headers: { 'X-Gylekeeper': '1' } });

// Sends a change (`gone`: that it is no more there); undefined when it was refused or cancelled, after showing that.
export async function act(path, { body = '', type = 'text/plain', gone = false, done } = {}) {
  try {
    for (;;) {
      try {
        const answer = await (gone ? remove(path) : post(path, body, type));
        toast((typeof done === 'function' ? done(answer ?? {}) : done) ?? answer?.lines?.join(' ') ?? 'Done.');
        window.dispatchEvent(new Event('acted'));
        return answer ?? {};
      } catch (error) {
        if (error.status !== 401) throw error;
        if (!await signIn('Reading needs no sign-in; changes do.')) return undefined;
      }
    }
  } catch (error) {
    toast(sentence(error.message), true);
    return undefined;
  }
}

export const sentence = (text) => (text ? text[0].toUpperCase() + text.slice(1) + (/[.!?]$/.test(text) ? '' : '.') : '');

export async function signOut() {
  await remove('/session').catch(() => {});
  navigator.serviceWorker?.controller?.postMessage('forget');
  toast('Signed out.');
  window.dispatchEvent(new Event('acted'));
}

let asking = null;
let declined = false;  // by "Not now", until somebody signs in

// One dialog at a time, however many wait for it.
export function signIn(why) {
  asking ??= dialogOf(why).then((signedIn) => {
    asking = null;
    declined = !signedIn;
    return signedIn;
  });
  return asking;
}

function dialogOf(why) {
  return new Promise((resolve) => {
    const field = h('input', { id: 'token', type: 'password', autocomplete: 'current-password', required: true });
    const trouble = h('p', { class: 'trouble', role: 'alert' });
    const dialog = h('dialog', { class: 'sheet', 'aria-labelledby': 'sign-in' },
      h('form', {
        onsubmit: async (event) => {
          event.preventDefault();
          try {
            await post('/session', JSON.stringify({ token: field.value }), 'application/json');
            signedIn = true;
            dialog.close();
          } catch (error) {
            trouble.textContent = sentence(error.message);
            field.select();
          }
        },
      },
      h('h2', { id: 'sign-in' }, 'Sign in'),
      h('p', null, why),
      h('label', { for: 'token' }, 'Token'),
      field,
      trouble,
      h('p', { class: 'hint' }, 'It stands in the file that gylekeeper.toml names as token_file.'),
      h('div', { class: 'row' },
        h('button', { type: 'submit', class: 'main' }, 'Sign in'),
        h('button', { type: 'button', onclick: () => dialog.close() }, 'Not now'))));
    let signedIn = false;
    dialog.addEventListener('close', () => { dialog.remove(); resolve(signedIn); });
    document.body.append(dialog);
    dialog.showModal();
  });
}

export const acknowledge = (alert) => act(`/v1/alerts/${alert.id}/acknowledge`, { done: 'Noted: no more reminders of it.' });

export function snooze(alert, hours) {
  const until = new Date((Math.max(now(), seconds(alert.time)) + hours * 3600) * 1000).toISOString();
  return act(`/v1/alerts/${alert.id}/snooze?until=${encodeURIComponent(until)}`);
}
