import { ask, signIn, signInToLook, signOut } from './session.js';
import { ago, moment, now, setDisplay, setNow, settings } from './show.js';
import { h, replaceContent } from './dom.js';
import { Live } from './live.js';
import { CellarPage } from './cellar.js';
import { BatchPage } from './batch.js';
import { ComparePage } from './compare.js';

const main = document.getElementById('main');
let page = null;
let shownAt = null;  // the daemon's time of what is shown

function pageFor(hash) {
  const [, room, rest] = hash.match(/^#\/([a-z]*)\/?([^?]*)/) ?? [];
  if (room === 'batch' && rest) return new BatchPage(main, decodeURIComponent(rest));
  if (room === 'compare') return new ComparePage(main, rest ? decodeURIComponent(rest) : '');
  return new CellarPage(main);
}

async function refresh() {
  try {
    await refreshPage(page);
  } catch (error) {
    if (error.status === 401) showLocked();
    throw error;
  }
}

// Not signed in, on a machine where that is needed even to read.
function showLocked() {
  if (document.getElementById('unlock')) return;  // a button stays where it is while the page tries again
  main.replaceChildren(h('h1', null, 'The cellar is locked'), h('p', { class: 'wait' }, 'Sign in to see it on this device.'),
    h('button', { id: 'unlock', type: 'button', class: 'main', onclick: async () => { if (await signInToLook()) go(); } }, 'Sign in'));
  main.removeAttribute('aria-busy');
}

async function refreshPage(mine) {
  const [display, status] = await Promise.all([ask('/v1/display'), ask('/v1/status')]);
  setDisplay(display);
  // A clock that follows messages does not know the time before the first; then the newest of what is known counts.
  setNow([status.daemon.now, ...status.batches.map((batch) => batch.view?.time ?? '')].sort().at(-1));
  shownAt = now();
  await mine.refresh(status);
  if (mine !== page) return;
  main.removeAttribute('aria-busy');
  showSession(display);
}

function showLink(ok, text) {
  const place = document.getElementById('link-state');
  place.classList.toggle('lost', !ok);
  document.body.classList.toggle('offline', !ok);
  if (!ok) replaceContent(place, h('span', null, shownAt === null ? text : `${text}: shown is what was known ${moment(shownAt)}`));
  else replaceContent(place, text ? h('span', null, text) : null);
}

// "America/New_York" as people read it.
function zoneWords(name) {
  if (name === 'Etc/UTC') return 'UTC';
  return name.includes('/') && !name.startsWith('Etc/') ? `${name.split('/').at(-1).replaceAll('_', ' ')} time` : name;
}

function showSession(display) {
  let place = document.getElementById('session');
  if (!place) {
    place = h('footer', { id: 'session', class: 'foot' });
    document.body.append(place);
  }
  const button = display.signed_in
    ? h('button', { type: 'button', class: 'quiet', 'data-key': 'sign', onclick: signOut }, 'Sign out')
    : h('button', { type: 'button', class: 'quiet', 'data-key': 'sign',
      onclick: async () => { if (await signIn('Reading needs no sign-in; changes do.')) window.dispatchEvent(new Event('acted')); } },
    'Sign in');
  replaceContent(place, h('span', null, `Gylekeeper ${display.version} · times are in ${zoneWords(display.time_zone)}`),
    display.read_only ? h('span', null, 'read only') : button);
}

const live = new Live(refresh, showLink);

function go() {
  page?.leave?.();
  main.replaceChildren(h('p', { class: 'wait' }, 'Loading …'));
  main.setAttribute('aria-busy', 'true');
  page = pageFor(location.hash || '#/');
  for (const link of document.querySelectorAll('nav a[data-page]')) {
    if (link.dataset.page === page.name) link.setAttribute('aria-current', 'page');
    else link.removeAttribute('aria-current');
  }
  scrollTo(0, 0);
  live.again();
}

addEventListener('hashchange', () => {
  if (location.hash === '#main') return;
  go();
  main.focus({ preventScroll: true });
});
document.querySelector('.skip').addEventListener('click', (event) => { event.preventDefault(); main.focus(); });

// Ages grow by themselves.
setInterval(() => {
  if (!settings()) return;
  for (const element of document.querySelectorAll('[data-since]')) element.textContent = ago(Number(element.dataset.since));
}, 20000);

go();
live.start();
