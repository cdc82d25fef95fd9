// Keeps one whole build of the page and serves it while the daemon is away. A build is kept under a name made from
// its own list of files and only when all of them are in, so that files of two builds never meet.
const LIST = '/build.json';
const PREFIX = 'strikewell-page-';
const PATIENCE_MS = 4_000;
/** Files beside the build whose names hold no hash. */
const PLAIN = ['/icon.svg', '/strikewell.webmanifest'];

self.addEventListener('install', (event) => {
  event.waitUntil(keepBuild().then(() => self.skipWaiting()));
});

self.addEventListener('activate', (event) => {
  event.waitUntil(self.clients.claim());
});

self.addEventListener('fetch', (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== 'GET' || url.origin !== self.location.origin) return;
  if (request.mode === 'navigate' && !/^\/(api|answer)\//.test(url.pathname)) {
    event.respondWith(pageFromDaemon(event));
  } else if (url.pathname.startsWith('/assets/') || isKeptPlain(url.pathname)) {
    event.respondWith(fileOf(request));
  }
});

// A message about an alarm: shown at once, since browsers take a worker that shows nothing for a spy. A later message
// about the same alarm takes its place.
self.addEventListener('push', (event) => {
  const { title, body, tag, asks, opens, answerPath, answerTitle } = event.data?.json() ?? {
    title: 'Strikewell',
  };
  event.waitUntil(
    self.registration.showNotification(title, {
      body,
      tag,
      renotify: Boolean(tag),
      requireInteraction: Boolean(asks),
      icon: '/icon-192.png',
      data: { answerPath, opens },
      actions: answerPath ? [{ action: 'acknowledge', title: answerTitle ?? 'Acknowledge' }] : [],
    }),
  );
});

self.addEventListener('notificationclick', (event) => {
  event.notification.close();
  const { answerPath, opens = '/#/alarms' } = event.notification.data ?? {};
  const asked = event.action === 'acknowledge' && answerPath;
  event.waitUntil(asked ? acknowledge(answerPath) : openPage(opens));
});

/** Acknowledges an alarm, or confirms a test, without opening the page; what prevents it is shown where it can be answered. */
async function acknowledge(answerPath) {
  try {
    const answer = await fetch(answerPath, { method: 'POST', headers: { accept: 'application/json' } });
    const { headline, words } = await answer.json();
    await self.registration.showNotification(words, {
      body: headline,
      icon: '/icon-192.png',
      tag: answerPath,
    });
  } catch {
    await openPage(answerPath);
  }
}

async function openPage(path) {
  // a page that this worker does not serve cannot be sent anywhere
  const [open] = await self.clients.matchAll({ type: 'window' });
  if (!open || path.startsWith('/answer/')) return self.clients.openWindow(path);
  await open.focus().catch(() => undefined);
  return open.navigate(path);
}

function isKeptPlain(path) {
  return PLAIN.includes(path);
}

/** The page as the daemon has it; as it was kept when the daemon is away or does not answer in time. */
async function pageFromDaemon(event) {
  const kept = await keptMatch('/');
  const signal = kept ? AbortSignal.timeout(PATIENCE_MS) : undefined;
  try {
    const fresh = await fetch(event.request.url, { signal });
    if (fresh.ok) event.waitUntil(keepBuild().catch(() => undefined));
    return fresh;
  } catch (cause) {
    if (kept) return kept;
    throw cause;
  }
}

/** Names of assets hold a hash of what is in them: one that was kept is as good as one fetched. */
async function fileOf(request) {
  const { pathname } = new URL(request.url);
  const kept = await keptMatch(pathname);
  if (kept && !isKeptPlain(pathname)) return kept;
  return fetch(request).catch((cause) => {
    if (kept) return kept;
    throw cause;
  });
}

async function keptMatch(path) {
  for (const name of await ownCaches()) {
    const found = await (await caches.open(name)).match(path);
    if (found) return found;
  }
  return undefined;
}

async function ownCaches() {
  return (await caches.keys()).filter((name) => name.startsWith(PREFIX));
}

/** Fetches the build the daemon has now, if it is not the one that is kept. */
async function keepBuild() {
  const list = await fetched(LIST);
  const text = await list.text();
  const name = PREFIX + (await fingerprint(text));
  const cache = await caches.open(name);
  if (await cache.match('/')) return;
  const page = await fetched('/');
  const files = filesOf(JSON.parse(text));
  await checkSameBuild(page.clone(), files);
  const paths = [...files, ...PLAIN];
  const answers = await Promise.all(paths.map(fetched));
  await Promise.all(paths.map((path, i) => cache.put(path, answers[i])));
  // the page last: where it is, all else is
  await cache.put('/', page);
  await dropOthers(name);
}

async function dropOthers(name) {
  const others = (await ownCaches()).filter((other) => other !== name);
  await Promise.all(others.map((other) => caches.delete(other)));
}

/** The page and what it fetches by itself; what a screen fetches only to draw what the daemon answers is no use without it. */
function filesOf(list) {
  const { 'index.html': page } = list;
  const own = [page, ...(page.dynamicImports ?? []).map((name) => list[name])];
  const named = own.flatMap(({ file, css = [], assets = [] }) => [file, ...css, ...assets]);
  return [...new Set(named)].map((file) => `/${file}`);
}

/** A build that is being replaced may answer with files of both: then nothing is kept, and the next visit tries again. */
async function checkSameBuild(page, files) {
  const named = [...(await page.text()).matchAll(/\/assets\/[^"']+/g)].map(([path]) => path);
  if (named.length === 0 || !named.every((path) => files.includes(path)))
    throw new Error('page and list of files are not of one build');
}

async function fetched(path) {
  // what is named by a hash is what it was when the page itself fetched it
  const cache = path.startsWith('/assets/') ? 'default' : PLAIN.includes(path) ? 'force-cache' : 'no-cache';
  const response = await fetch(path, { cache });
  const isPage = response.headers.get('content-type')?.includes('text/html') ?? false;
  if (!response.ok || isPage !== (path === '/')) throw new Error(`${path} cannot be kept`);
  return response;
}

async function fingerprint(text) {
  const digest = await crypto.subtle.digest('SHA-256', new TextEncoder().encode(text));
  return [...new Uint8Array(digest)]
    .slice(0, 8)
    .map((byte) => byte.toString(16).padStart(2, '0'))
    .join('');
}
