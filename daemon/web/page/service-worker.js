// Keeps the files of the page, and the last answers of the daemon for when it is away. An answer that was kept says how long
// ago it came, in the field X-Kept-S; the page shows it as old.
const kFiles = 'files @PAGE@';
const kAnswers = 'answers';
const kMostAnswers = 60;
const kPatience_ms = 8000;

addEventListener('install', (event) => {
  event.waitUntil(caches.open(kFiles).then((cache) => cache.addAll(['/', ...'@FILES@'])).then(() => skipWaiting()));
});

addEventListener('activate', (event) => {
  event.waitUntil(caches.keys()
    .then((names) => Promise.all(names.filter((name) => name !== kFiles && name !== kAnswers).map((name) => caches.delete(name))))
    .then(() => clients.claim()));
});

// After signing out nothing of the brewer's stays here.
addEventListener('message', (event) => { if (event.data === 'forget') event.waitUntil(caches.delete(kAnswers)); });

addEventListener('fetch', (event) => {
  const { request } = event;
  const { pathname, origin } = new URL(request.url);
  if (request.method !== 'GET' || origin !== location.origin) return;
  if (pathname.startsWith('/page/')) event.respondWith(fromFiles(request));
  else if (request.mode === 'navigate' && pathname === '/') event.respondWith(pageOf(request));
  else if (pathname.startsWith('/v1/') && pathname !== '/v1/events' && request.mode !== 'navigate') event.respondWith(answerTo(event));
});

async function fromFiles(request) {
  return await caches.match(request) ?? fetch(request);
}

async function pageOf(request) {
  try {
    return await fetch(request, { signal: AbortSignal.timeout(kPatience_ms) });
  } catch {
    return await caches.match('/') ?? Response.error();
  }
}

async function answerTo(event) {
  const { request } = event;
  let answer;
  try {
    answer = await fetch(request);
  } catch (error) {
    const kept = await (await caches.open(kAnswers)).match(request);
    if (!kept) throw error;
    const headers = new Headers(kept.headers);
    headers.set('X-Kept-S', String(Math.max(0, Math.round((Date.now() - Number(headers.get('X-Kept-At'))) / 1000))));
    return new Response(kept.body, { status: kept.status, headers });
  }
  if (answer.status === 401) event.waitUntil(caches.delete(kAnswers));
  if (answer.status === 200) event.waitUntil(keep(request, answer.clone()));
  return answer;
}

async function keep(request, answer) {
  const headers = new Headers(answer.headers);
  headers.delete('Content-Encoding');
  headers.set('X-Kept-At', String(Date.now()));
  const cache = await caches.open(kAnswers);
  await cache.delete(request);
  await cache.put(request, new Response(await answer.blob(), { status: 200, headers }));
  const kept = await cache.keys();
  await Promise.all(kept.slice(0, Math.max(0, kept.length - kMostAnswers)).map((old) => cache.delete(old)));
}
