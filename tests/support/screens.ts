import { z } from 'zod';
import type { PageRoute } from '../../shared/page-routes.ts';
import type { Daemon } from './daemon.ts';

const DAY_MS = 86_400_000;
const madeSchema = z.object({ id: z.union([z.string(), z.number()]).transform(String) });

/** Addresses of each page there is, without their `#/`; one that is added to the routes does not compile without its own. */
export type Screens = Readonly<Record<Exclude<PageRoute['page'], 'unknown'>, readonly string[]>>;

/**
 * Makes what pages of one thing show, two batches and a plan, and names an address for every page.
 *
 * @param daemon one that knows these places
 * @param placeIds two of them; what the first of them shows is the worse
 */
export async function screensOf(daemon: Daemon, placeIds: readonly [string, string]): Promise<Screens> {
  const made = async (path: string, order: unknown) => {
    const { status, body } = await daemon.post(path, order);
    if (status !== 201) throw new Error(`${path} answered ${status}: ${JSON.stringify(body)}`);
    return madeSchema.parse(body).id;
  };
  const stuckAt = new Date(Date.now() - 5 * DAY_MS).toISOString();
  const batch = (placeId: string) =>
    made('/api/v1/batches', { placeId, crop: 'Poinsettia', sheetId: 'poinsettia', stuckAt, count: 120 });
  const [one, other] = [await batch(placeIds[0]), await batch(placeIds[1])];
  const stickOn = new Date(Date.now() + 14 * DAY_MS).toISOString().slice(0, 10);
  const plan = await made('/api/v1/preparations', {
    crop: 'Geranium',
    stickOn,
    steps: [{ id: 'nitrogen', name: null, daysBefore: 14 }],
  });
  return {
    benches: ['', '?state=act'],
    place: [`place/${placeIds[0]}`],
    night: ['night'],
    batches: ['batches'],
    batch: [`batch/${one}`],
    report: [`report/${one}`],
    compare: [`compare/${one},${other}`, `compare/benches=${placeIds.join()}`],
    plan: ['plan', `plan/${plan}`],
    start: ['start'],
    alarms: ['alarms', `alarms/${placeIds[0]}.air-over-ceiling`],
    people: ['people'],
    probes: ['probes'],
    devices: ['devices'],
    system: ['system'],
    watch: ['watch'],
    other: ['other'],
    archived: ['archived'],
    sheets: ['sheets'],
    sheet: ['sheets/poinsettia'],
    wall: ['wall'],
    several: ['several'],
    begin: ['begin'],
  };
}
