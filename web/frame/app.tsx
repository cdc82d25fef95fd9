import { useEffect, useRef } from 'preact/hooks';
import { AlarmsPage } from '../alarms/alarms.tsx';
import { Archived } from '../archive/archived.tsx';
import { BatchesPage } from '../batches/batches.tsx';
import { ComparePage } from '../batches/compare.tsx';
import { BatchPage } from '../batches/one/batch.tsx';
import { ReportPage } from '../batches/one/report.tsx';
import { StartPage } from '../batches/start/start.tsx';
import { BeginPage } from '../begin/begin.tsx';
import { Benches } from '../bench/benches.tsx';
import { Hatches } from '../common/hatches.tsx';
import { Devices } from '../devices/devices.tsx';
import { WatchPage } from '../messages/live-messages.tsx';
import { OtherMessages } from '../messages/other-topics.tsx';
import { NightPage } from '../night/night-page.tsx';
import { PeoplePage } from '../people/people.tsx';
import { ExplainDialog } from '../place/explain.tsx';
import { PlacePage } from '../place/place.tsx';
import { Probes } from '../probes/probes.tsx';
import { signedOut } from '../settings/access.ts';
import { ConfirmDialog } from '../settings/confirm-dialog.tsx';
import { System } from '../settings/system.tsx';
import { SeveralPage } from '../several/several-page.tsx';
import { SheetPage } from '../sheets/sheet.tsx';
import { Sheets } from '../sheets/sheets.tsx';
import { clockHours, isOld, known, link, loudNews, politeNews, route } from '../state.ts';
import { WallPage } from '../wall/wall-page.tsx';
import { FloodNotice } from './flood-notice.tsx';
import { Header, LinkNotice } from './header.tsx';
import { PageFoot } from './safety.tsx';
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
  switch (at.page) {
    case 'benches':
      return <Benches filter={at.filter ?? null} />;
    case 'place':
      return <PlacePage key={at.placeId} placeId={at.placeId} />;
    case 'night':
      return <NightPage date={at.date} />;
    case 'batches':
      return <BatchesPage />;
    case 'batch':
      return <BatchPage key={at.batchId} batchId={at.batchId} />;
    case 'report':
      return <ReportPage key={at.batchId} batchId={at.batchId} />;
    case 'compare':
      return <ComparePage key={at.batchIds.join()} batchIds={at.batchIds} />;
    case 'start':
      return <StartPage placeId={at.placeId} />;
    case 'alarms':
      return <AlarmsPage />;
    case 'people':
      return <PeoplePage />;
    case 'probes':
      return <Probes />;
    case 'devices':
      return <Devices />;
    case 'system':
      return <System />;
    case 'watch':
      return <WatchPage />;
    case 'other':
      return <OtherMessages />;
    case 'archived':
      return <Archived />;
    case 'several':
      return <SeveralPage />;
    case 'wall':
      return <WallPage />;
    case 'begin':
      return <BeginPage />;
    case 'sheets':
      return <Sheets />;
    case 'sheet':
      return <SheetPage key={at.sheetId} sheetId={at.sheetId} />;
    case 'unknown':
      return (
        <>
          <h1 class="unseen">Page not found</h1>
          <p class="waiting">
            There is no such page. <a href="#/">Go to the benches.</a>
          </p>
        </>
      );
  }
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
