import { useEffect, useId, useRef, useState } from 'preact/hooks';
import { duration } from '../../shared/words/alarm.ts';
import { needsHand } from '../alarms/alarms.ts';
import { clockTime, momentWords, weekday } from '../common/time.ts';
import { isOld, known, link, nowMs, receivedAtMs, route, secondMs, timeZone } from '../state.ts';

const PAGES = [
  { page: 'night', href: '#/night', name: 'The night' },
  { page: 'benches', href: '#/', name: 'Benches' },
  { page: 'batches', href: '#/batches', name: 'Batches' },
  { page: 'alarms', href: '#/alarms', name: 'Alarms' },
  { page: 'sheets', href: '#/sheets', name: 'Sheets' },
  { page: 'people', href: '#/people', name: 'People' },
  { page: 'probes', href: '#/probes', name: 'Probes' },
  { page: 'system', href: '#/system', name: 'System' },
] as const;

/** The page under whose name another stands. */
const PART_OF: Readonly<Record<string, string>> = {
  place: 'benches',
  batch: 'batches',
  report: 'batches',
  compare: 'batches',
  start: 'batches',
  devices: 'probes',
  watch: 'probes',
  other: 'probes',
  archived: 'benches',
  several: 'benches',
  sheet: 'sheets',
};

export function newestWords(): string {
  const newest = Math.max(
    ...known.value.places.map(({ now }) => (now.newestAt ? Date.parse(now.newestAt) : 0)),
    0,
  );
  if (newest === 0) return 'no reading yet';
  return `newest reading ${duration(Math.max(0, secondMs.value - newest))} ago`;
}

function agoWords(atMs: number | null): string {
  return atMs === null ? '' : `as it was ${duration(Math.max(0, secondMs.value - atMs))} ago`;
}

function Present() {
  const atMs = secondMs.value;
  const clock = `${weekday({ atMs, timeZone: timeZone.value })} ${clockTime({ atMs, timeZone: timeZone.value })}`;
  const kept = isOld.value ? `${agoWords(receivedAtMs.value)}, connecting…` : 'connecting…';
  const state = { live: newestWords(), connecting: kept, offline: 'not connected' }[link.value];
  return (
    <p class="present-state">
      {clock} ·{' '}
      <span data-testid="link-state" data-state={link.value}>
        {state}
      </span>
    </p>
  );
}

function Links({ current, hands }: { readonly current: string; readonly hands: number }) {
  return (
    <>
      {PAGES.map(({ page, href, name }) => (
        <a key={page} href={href} aria-current={current === page ? 'page' : undefined}>
          {name}
          {page === 'alarms' && <Hands hands={hands} />}
        </a>
      ))}
    </>
  );
}

function Hands({ hands }: { readonly hands: number }) {
  if (hands === 0) return null;
  return (
    <>
      {' '}
      <b class="count">
        {hands}
        <span class="unseen"> unacknowledged</span>
      </b>
    </>
  );
}

/** On a phone the pages are folded behind the name of the one that is shown; Escape folds them again. */
function Pages({ current, hands }: { readonly current: string; readonly hands: number }) {
  const [open, setOpen] = useState(false);
  const button = useRef<HTMLButtonElement>(null);
  const id = useId();
  const at = route.value;
  useEffect(() => setOpen(false), [at]);
  const onKey = ({ key }: { readonly key: string }) => {
    if (key !== 'Escape' || !open) return;
    setOpen(false);
    button.current?.focus();
  };
  const name = PAGES.find(({ page }) => page === current)?.name ?? 'Pages';
  return (
    <nav aria-label="Pages" onKeyDown={onKey}>
      <button
        type="button"
        class="unfold-pages"
        ref={button}
        aria-expanded={open}
        aria-controls={id}
        onClick={() => setOpen(!open)}
      >
        <span class="unseen">Pages: </span>
        {name} <Hands hands={hands} />
      </button>
      <div id={id} class={`page-links${open ? ' open' : ''}`}>
        <Links current={current} hands={hands} />
      </div>
    </nav>
  );
}

/** Name, pages, the local time and how fresh the page is. */
export function Header() {
  const hands = known.value.alarms.filter((alarm) => needsHand(alarm, nowMs.value)).length;
  const current = PART_OF[route.value.page] ?? route.value.page;
  return (
    <header class="page-head">
      <a class="name" href="#/">
        Strikewell
      </a>
      <Pages current={current} hands={hands} />
      <Present />
    </header>
  );
}

/** Says when the page is cut off, and how old what it shows is. */
export function LinkNotice() {
  const cutOff = link.value === 'offline' && receivedAtMs.value !== null;
  const atMs = receivedAtMs.value ?? 0;
  const seen = momentWords({ atMs, nowMs: nowMs.value, timeZone: timeZone.value });
  return (
    <div class="link-notice" role="status">
      {cutOff && (
        <p>
          <strong>Not connected to the daemon.</strong> Last seen {seen},{' '}
          <span aria-hidden="true">{duration(Math.max(0, secondMs.value - atMs))} ago</span>. What is shown is
          that old; trying again.
        </p>
      )}
    </div>
  );
}
