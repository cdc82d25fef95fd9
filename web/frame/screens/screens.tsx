import { AlarmsPage } from '../../alarms/alarms.tsx';
import { Archived } from '../../archive/archived.tsx';
import { BatchesPage } from '../../batches/batches.tsx';
import { ComparePage } from '../../batches/compare.tsx';
import { BatchPage } from '../../batches/one/batch.tsx';
import { ReportPage } from '../../batches/one/report.tsx';
import { PlanPage } from '../../batches/plan/plan.tsx';
import { StartPage } from '../../batches/start/start.tsx';
import { BeginPage } from '../../begin/begin.tsx';
import { Devices } from '../../devices/devices.tsx';
import { WatchPage } from '../../messages/live-messages.tsx';
import { OtherMessages } from '../../messages/other-topics.tsx';
import { NightPage } from '../../night/night-page.tsx';
import { PeoplePage } from '../../people/people.tsx';
import { PlacePage } from '../../place/place.tsx';
import { Probes } from '../../probes/probes.tsx';
import { System } from '../../settings/system.tsx';
import { SeveralPage } from '../../several/several-page.tsx';
import { SheetPage } from '../../sheets/sheet.tsx';
import { Sheets } from '../../sheets/sheets.tsx';
import { WallPage } from '../../wall/wall-page.tsx';
import type { Route } from '../route.ts';

/** The screen that a route names. */
export function screenOf(at: Exclude<Route, { readonly page: 'benches' }>) {
  switch (at.page) {
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
      return <ComparePage key={`${at.of} ${at.ids.join()}`} of={at.of} ids={at.ids} />;
    case 'plan':
      return <PlanPage key={at.planId ?? ''} planId={at.planId} />;
    case 'start':
      return <StartPage placeId={at.placeId} />;
    case 'alarms':
      return <AlarmsPage alarmId={at.alarmId} />;
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
    default:
      return null;
  }
}
