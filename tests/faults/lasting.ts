import { join } from 'node:path';
import Database from 'better-sqlite3';
import { z } from 'zod';
import { readingsTopic } from '../../firmware-contracts/v1/topics.ts';
import { type Storm, startStorm } from '../journey/storm.ts';
import { connectPublisher } from '../support/mqttPublisher.ts';
import { seededNumbers } from '../support/seeded.ts';
import { until } from '../support/wait.ts';
import { wallClock } from '../support/wall-clock.ts';
import { dribblingServer, type FaultyServer, silentServer } from './faulty-servers.ts';
import type { Form, How, Notes, Outcome, Scene } from './outcome.ts';
import {
  AT,
  accountFor,
  type BrokerPath,
  doubledCalls,
  openStage,
  PATHS,
  type Stage,
  type StageOptions,
  spoilt,
  wokenAfter,
} from './stage.ts';

/** A fault that the daemon lives through: what is wrong, for one try, and how it is put right again. */
type Fault = {
  readonly begin: (
    stage: Stage,
    at: { readonly nth: number; readonly chance: () => number },
  ) => Promise<void>;
  readonly end?: (stage: Stage) => Promise<void>;
  /** messages that are neither taken nor kept among the refused, and readings that were refused wrongly */
  readonly amiss?: (stage: Stage, tries: number) => Promise<number>;
  /** whether readings of the hot bench go by the daemon's clock */
  readonly undated?: boolean;
};

type Played = StageOptions & { readonly path: BrokerPath; readonly fault: Fault };

/** Brings a fault about again and again in a storm; air at 48 °C begins with each. */
async function lived(played: Played, { tries, seed }: { tries: number; seed: number }): Promise<Outcome> {
  const { fault } = played;
  const stage = await openStage(played.path, played);
  const chance = seededNumbers(seed);
  const notes: Notes = { wokenMs: [], backMs: [] };
  let storm: Storm | null = null;
  try {
    storm = startStorm({ broker: stage.broker, clients: 2, underWay: 5, restMs: 100, seed });
    for (let nth = 0; nth < tries; nth += 1) {
      const sinceMs = performance.now();
      await fault.begin(stage, { nth, chance });
      const hot = { bench: `hot-${nth}`, sinceMs, undated: fault.undated ?? false };
      notes.wokenMs.push(await wokenAfter(stage, hot));
      await fault.end?.(stage);
    }
    await storm.end();
    const { lost, doubled } = await accountFor(stage.daemon.dataDir, storm.acknowledgedKeys);
    const amiss = (await fault.amiss?.(stage, tries)) ?? (await spoilt(stage));
    return { tries, lost: lost + amiss, doubled: doubled + doubledCalls(stage.webhook), ...notes };
  } finally {
    await storm?.end();
    await stage.close();
  }
}

const refusedSchema = z.object({ byCode: z.record(z.string(), z.number()) });

/**
 * A message that the database refuses by itself, as it did once at a fraction in a column of whole numbers: a trigger
 * lets no probe of such a device be made.
 */
const poison: Fault = {
  async begin({ daemon, broker }, { nth }) {
    const db = new Database(join(daemon.dataDir, 'strikewell.db'));
    db.exec(`CREATE TRIGGER IF NOT EXISTS poison BEFORE INSERT ON probe
             WHEN NEW.device LIKE 'poison%' BEGIN SELECT RAISE(ABORT, 'poison'); END`);
    db.close();
    const publisher = await connectPublisher(broker);
    const payload = '[{"n":"air/temperature","u":"Cel","v":21}]';
    await publisher.publish({ topic: readingsTopic(`poison-${nth}`), payload });
    await publisher.close();
  },
  async amiss({ daemon }, tries) {
    const kept = async () => (await daemon.read('/api/v1/refused', refusedSchema)).byCode;
    const all = async () => ((await kept())['not-storable'] === tries ? true : null);
    await until(all, { what: 'poison among the refused', withinMs: 20_000 }).catch(() => null);
    const others = Object.values(await kept()).reduce((sum, count) => sum + count, 0);
    return Math.abs(others - tries);
  },
};

const HOUR_S = 3_600;
/** The clock is set by so many seconds at most, either way. */
const MOST_S = 48 * HOUR_S;

function jumping(): StageOptions & { readonly fault: Fault } {
  const clock = wallClock();
  const begin: Fault['begin'] = async (_stage, { chance }) => {
    const byS = Math.round(2 * MOST_S * (chance() - 0.5));
    clock.set(byS);
  };
  return {
    settings: clock.settings,
    fault: { begin, end: async () => clock.set(0), undated: true },
  };
}

/** A mail server that answers a letter at a time without end, until the daemon gives up; then it is well again. */
function dribbling(): StageOptions & { readonly fault: Fault } {
  let faulty: FaultyServer | null = null;
  return {
    async before(mail) {
      faulty = await dribblingServer(mail.port);
      return faulty;
    },
    fault: { begin: async () => faulty?.shut() },
  };
}

const NAMED = {
  poison: 'a message that cannot be committed',
  clock: 'the clock is set by up to 2 days',
  mail: 'a mail server that dribbles until it is given up',
  webhook: 'a webhook that hangs, beside the mail',
} as const;

type Kind = keyof typeof NAMED;
const TRIES: Readonly<Record<Kind, Readonly<Record<Form, number>>>> = {
  poison: { short: 1, long: 10 },
  clock: { short: 1, long: 8 },
  mail: { short: 1, long: 3 },
  webhook: { short: 1, long: 5 },
};

async function play(kind: Kind, path: BrokerPath, { form, seed }: How): Promise<Outcome> {
  const how = { tries: TRIES[kind][form], seed };
  if (kind === 'poison') return lived({ path, fault: poison }, how);
  if (kind === 'clock') return lived({ path, ...jumping() }, how);
  if (kind === 'mail') return lived({ path, ...dribbling() }, how);
  const faulty = await silentServer();
  const further = [{ kind: 'webhook', url: `http://127.0.0.1:${faulty.port}/` }];
  const outcome = await lived({ path, further, fault: { begin: async () => undefined } }, how);
  faulty.close();
  return outcome;
}

/** Faults that last while the daemon runs, at both brokers; in the short form each at one of them. */
export const LASTING: readonly Scene[] = (Object.keys(NAMED) as Kind[]).flatMap((kind, k) =>
  PATHS.map((path, p): Scene => {
    const name = `${NAMED[kind]}, ${AT[path]}`;
    return {
      names: [name],
      waits: kind === 'mail',
      play: async (how) =>
        how.form === 'short' && (k + p) % 2 === 1 ? [] : [{ name, outcome: await play(kind, path, how) }],
    };
  }),
);
