import { ask, Refused, signIn, signInToLook, signOut } from './session.js';
import { ago, moment, now, setDisplay, setNow, settings } from './show.js';
import { h, replaceContent } from './dom.js';
import { Live } from './live.js';
import { showBar } from './bar.js';
import { CellarPage } from './cellar.js';
import { BatchPage } from './batch.js';
import { SetupPage } from './setup.js';
import { ComparePage } from './compare.js';
import { conclude, openAlerts } from './todo.js';

const main = document.getElementById('main');
let page = null;
let shownAt = null;  // the daemon's time of what is shown

class NoPage {
  name = '';

  title = 'No such page';

  constructor(place) { this.place = place; }

  async refresh() {
    this.place.replaceChildren(h('h1', null, 'There is no such page'),
      h('p', { class: 'wait' }, 'Nothing is at this address; perhaps it was mistyped, or is of another version. ', h('a', { href: '/#/' }, 'Go to the cellar'), '.'));
    showBar(null);
  }
}

// "#/batch/7?from=1796000000&to=1796100000": the part, what is in it, and how it is looked at.
function addressOf(hash) {
  const [, room, rest, query] = hash.match(/^#\/([a-z]*)\/?([^?]*)\??(.*)$/) ?? [];
  const looked = new URLSearchParams(query ?? '');
  const [from, to] = ['from', 'to'].map((name) => Number(looked.get(name) ?? NaN));
  const range = to > from ? [from, to] : null;
  let what = null;
  try { what = decodeURIComponent(rest ?? ''); } catch { /* no text */ }
  return { room, what, range, looked };
}

// The same page, looked at in another way.
function lookedAt(path, parts) {
  const query = new URLSearchParams(Object.entries(parts).filter(([, value]) => value !== null && value !== undefined)).toString();
  history.replaceState(null, '', `#/${path}${query && `?${query}`}`);
}
const rangeParts = (range, digits = 0) => ({ from: range ? range[0].toFixed(digits) : null, to: range ? range[1].toFixed(digits) : null });

function pageFor(hash) {
  const { room, what, range, looked } = addressOf(hash);
  if (location.pathname !== '/' || room === undefined || what === null) return new NoPage(main);
  if (room === 'batch' && /^\d+$/.test(what)) {
    return new BatchPage(main, what, { range, onRange: (moved) => lookedAt(`batch/${what}`, rangeParts(moved)) });
  }
  if (room === 'compare') {
    return new ComparePage(main, what, { range, align: looked.get('align'),
      onLook: (chosen, align, moved) => lookedAt(`compare/${chosen.join(',')}`, { align: align === 'start' ? align : null, ...rangeParts(moved, 3) }) });
  }
  if (room === 'setup' && what === '') return new SetupPage(main);
  return room === '' && what === '' ? new CellarPage(main) : new NoPage(main);
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
  showBar(null);
}

async function refreshPage(mine) {
  const early = mine.early?.();
  early?.catch(() => {});
  const cellar = await ask('/v1/cellar');
  setDisplay(cellar.display);
  // A clock that follows messages does not know the time before the first; then the newest of what is known counts.
  setNow([cellar.daemon.now, ...cellar.batches.map(({ batch }) => batch.view?.time ?? '')].sort().at(-1), cellar.kept_s ?? 0);
  shownAt = now() - (cellar.kept_s ?? 0);
  await mine.refresh(cellar, early);
  if (mine !== page) return;
  main.removeAttribute('aria-busy');
  const todo = openAlerts(cellar.system_alerts).length + cellar.batches.reduce((sum, one) => sum + conclude(one, cellar.vessels).todo, 0);
  document.title = `${todo ? `(${todo}) ` : ''}${mine.title} · Gylekeeper`;
  showSession(cellar.display);
  comeBack();
  if (cellar.kept_s !== undefined) throw new Refused(0, 'The daemon cannot be reached.');
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
    main.after(place);
  }
  const button = display.signed_in
    ? h('button', { type: 'button', class: 'quiet', 'data-key': 'sign', onclick: signOut }, 'Sign out')
    : h('button', { type: 'button', class: 'quiet', 'data-key': 'sign',
      onclick: async () => { if (await signIn('Reading needs no sign-in; changes do.')) window.dispatchEvent(new Event('acted')); } },
    'Sign in');
  replaceContent(place, h('span', null, `Gylekeeper ${display.version} · times are in ${zoneWords(display.time_zone)}`),
    display.read_only ? h('span', null, 'You can read here. To enter things, name a file with a token as token_file, under [page] of gylekeeper.toml.') : button);
}

const live = new Live(refresh, showLink);

// Where each page was scrolled to: found again by going back, not by following a link.
const places = new Map();
let followed = false;
let wanted = null;
history.scrollRestoration = 'manual';
addEventListener('scroll', () => { if (wanted === null && page) places.set(page.address, scrollY); }, { passive: true });
addEventListener('click', (event) => { if (event.target.closest?.('a[href*="#/"]')) followed = true; }, true);
function comeBack() {
  if (!wanted) return;
  scrollTo(0, wanted);
  wanted = null;
}

function go() {
  page?.leave?.();
  const address = location.hash.replace(/\?.*/, '') || '#/';
  wanted = (!followed && places.get(address)) || null;
  followed = false;
  main.replaceChildren(h('p', { class: 'wait' }, 'Loading …'));
  main.setAttribute('aria-busy', 'true');
  showBar(null);  // what it offers is for the page before
  page = pageFor(location.hash || '#/');
  page.address = address;
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

// Ages grow by themselves, and what was fresh becomes old.
setInterval(() => {
  if (!settings() || document.hidden) return;
  if (page?.found || page?.cellar) page.render?.();
  for (const element of document.querySelectorAll('[data-since]')) element.textContent = ago(Number(element.dataset.since));
}, 20000);

// The last known state is shown when the daemon is away. (Browsers offer this on https and on the machine itself only.)
navigator.serviceWorker?.register('/service-worker.js').catch(() => {});

go();
live.start();
