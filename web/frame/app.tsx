import { useEffect, useRef } from 'preact/hooks';
import { Benches } from '../bench/benches.tsx';
import { Hatches } from '../common/hatches.tsx';
import { ExplainDialog } from '../place/explain.tsx';
import { signedOut } from '../settings/access.ts';
import { ConfirmDialog } from '../settings/confirm-dialog.tsx';
import { clockHours, isOld, known, link, loudNews, politeNews, route } from '../state.ts';
import { FloodNotice } from './flood-notice.tsx';
import { Header, LinkNotice } from './header.tsx';
import { PageFoot } from './safety.tsx';
import { loadScreens, screens } from './screens/load-screens.ts';
import { SignIn } from './sign-in.tsx';
import { StoreNotice } from './store-notice.tsx';

function titleOf(): string {
  const at = route.value;
  if (at.page === 'place') return known.value.places.find(({ id }) => id === at.placeId)?.name ?? 'Place';
  return {
    benches: 'Benches',
    night: 'The night',
    batches: 'Batches',
    batch: 'Batch',
    report: 'What happened',
    compare: 'Compare batches',
    start: 'Start a batch',
    plan: 'Plan a batch',
    alarms: 'Alarms',
    people: 'People',
    probes: 'Probes',
    devices: 'Devices',
    system: 'System',
    watch: 'Live messages',
    other: 'Other topics',
    archived: 'Archived',
    begin: 'Getting started',
    sheets: 'Target sheets',
    wall: 'Wall view',
    several: 'Change several places',
    sheet: 'Target sheet',
    unknown: 'Not here',
  }[at.page];
}

function Page() {
  const at = route.value;
  if (known.value.house === null && at.page !== 'unknown') {
    return (
      <p class="waiting" role="status">
        {link.value === 'offline'
          ? 'The daemon cannot be reached. This page tries again by itself.'
          : 'Loading the benches…'}
      </p>
    );
  }
  if (at.page === 'benches') return <Benches filter={at.filter ?? null} />;
  if (at.page === 'unknown') return <NotFound />;
  const { value } = screens;
  if (typeof value === 'function') return value(at);
  if (value === 'coming') {
    return (
      <p class="waiting" role="status">
        Loading…
      </p>
    );
  }
  return (
    <div class="plain-page">
      <p class="problem" role="status">
        This page could not be fetched: Strikewell does not answer.
      </p>
      <button type="button" onClick={() => void loadScreens()}>
        Try again
      </button>
    </div>
  );
}

function NotFound() {
  return (
    <>
      <h1 class="unseen">Page not found</h1>
      <p class="waiting">
        There is no such page. <a href="#/">Go to the benches.</a>
      </p>
    </>
  );
}

/** The whole page, or the sign-in form where one is needed. */
export function App() {
  // every time on the page is written again where they are read otherwise
  return signedOut.value ? <SignIn /> : <HousePage key={clockHours.value} />;
}

/** The whole page: header, what the route names, and the safety words. */
function HousePage() {
  const main = useRef<HTMLElement>(null);
  const first = useRef(true);
  const title = titleOf();
  const { page } = route.value;
  const isWall = page === 'wall' && known.value.house !== null;
  useEffect(() => {
    document.title = page === 'benches' ? 'Strikewell' : `${title} · Strikewell`;
  }, [page, title]);
  useEffect(() => {
    if (!first.current) {
      window.scrollTo(0, 0);
      // what the route asked for may have the focus already
      if (!document.activeElement?.hasAttribute('data-takes-focus'))
        main.current?.focus({ preventScroll: true });
    }
    first.current = false;
    // other benches of the same page leave the focus at what chose them
  }, [page === 'benches' ? page : route.value]);
  return (
    <>
      <button type="button" class="skip" onClick={() => main.current?.focus()}>
        Skip to the page
      </button>
      <Hatches />
      {!isWall && (
        <>
          <Header />
          <LinkNotice />
          <StoreNotice />
          <FloodNotice />
        </>
      )}
      <main ref={main} tabIndex={-1} aria-label={title} class={isOld.value ? 'old' : ''}>
        <Page />
      </main>
      {!isWall && <PageFoot />}
      <ExplainDialog />
      <ConfirmDialog />
      <p class="unseen" role="alert">
        {loudNews.value}
      </p>
      <p class="said" role="status" data-testid="said">
        {politeNews.value}
      </p>
    </>
  );
}
