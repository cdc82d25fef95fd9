import { ACCESS_ROUTES } from './access.ts';
import { ALARM_ROUTES } from './alarms.ts';
import { CHECK_ROUTES } from './checks.ts';
import { ADVICE_ROUTES } from './cuttings/advice.ts';
import { BATCH_ROUTES } from './cuttings/batches.ts';
import { CARE_ROUTES } from './cuttings/care.ts';
import { DIARY_ROUTES, PHOTO_ROUTES } from './cuttings/diary.ts';
import { CUTTINGS_EXCHANGE_ROUTES, CUTTINGS_IMPORT_ROUTES } from './cuttings/import.ts';
import { PREPARATION_ROUTES } from './cuttings/preparations.ts';
import { REPORT_ROUTES } from './cuttings/report.ts';
import { ROOTING_ROUTES } from './cuttings/rooting.ts';
import { SHEET_ROUTES } from './cuttings/sheets.ts';
import { DEVICE_ROUTES } from './devices.ts';
import { EXCHANGE_ROUTES } from './exchange.ts';
import { HOUSE_ROUTES, LIVENESS_ROUTES, METRICS_ROUTES } from './house.ts';
import { ARCHIVE_ROUTES, WAITING_ROUTES } from './lifecycle.ts';
import { LIVE_ROUTES } from './live.ts';
import { MESSAGE_ROUTES } from './messages.ts';
import { LINK_ROUTES, PEOPLE_ROUTES } from './people.ts';
import { PLACE_ROUTES } from './places.ts';

/** Every route of the interface. */
export const ROUTES = {
  ...LIVENESS_ROUTES,
  ...METRICS_ROUTES,
  ...LIVE_ROUTES,
  ...HOUSE_ROUTES,
  ...PLACE_ROUTES,
  ...ADVICE_ROUTES,
  ...BATCH_ROUTES,
  ...CARE_ROUTES,
  ...PREPARATION_ROUTES,
  ...ROOTING_ROUTES,
  ...REPORT_ROUTES,
  ...CUTTINGS_EXCHANGE_ROUTES,
  ...CUTTINGS_IMPORT_ROUTES,
  ...DIARY_ROUTES,
  ...PHOTO_ROUTES,
  ...EXCHANGE_ROUTES,
  ...ALARM_ROUTES,
  ...PEOPLE_ROUTES,
  ...LINK_ROUTES,
  ...CHECK_ROUTES,
  ...SHEET_ROUTES,
  ...DEVICE_ROUTES,
  ...WAITING_ROUTES,
  ...ARCHIVE_ROUTES,
  ...MESSAGE_ROUTES,
  ...ACCESS_ROUTES,
} as const;

export type AllRoutes = typeof ROUTES;
/** Name of a route that is there: `get /api/v1/places`. */
export type KnownRoute = keyof AllRoutes;
