import { setTimeout as sleep } from 'node:timers/promises';
import Database from 'better-sqlite3';
import { type Storm, startStorm } from '../journey/storm.ts';
import { seededNumbers } from '../support/seeded.ts';
import type { How, Notes, Outcome, Row, Scene } from './outcome.ts';
import {
  AT,
  accountFor,
  type BrokerPath,
  backupsOf,
  doubledCalls,
  openStage,
  PATHS,
  type Stage,
  spoilt,
  untilWritten,
  wokenAfter,
} from './stage.ts';

/** What the daemon is doing when it is killed. */
type Phase = {
  readonly name: string;
  /** waits until it does; the kill follows at once */
  readonly reach: (stage: Stage, chance: () => number) => Promise<void>;
  /** what may be wrong beside readings and calls; throws where it is */
  readonly after?: (stage: Stage) => void;
};

/** What an outside broker kept meanwhile is taken before what is hot now: a little of it is enough. */
const STORM: Readonly<Record<BrokerPath, { readonly restMs: number }>> = {
  embedded: { restMs: 50 },
  outside: { restMs: 250 },
};
const KILLS = { short: 1, long: 15 } as const;

const PHASES: readonly Phase[] = [
  { name: 'taking readings', reach: async (_stage, chance) => void (await sleep(50 + 400 * chance())) },
  { name: 'sealing hours', reach: (stage, chance) => untilWritten(stage, 'sealed', 20 * chance()) },
  { name: 'settling exposures', reach: (stage, chance) => untilWritten(stage, 'settled', 20 * chance()) },
  {
    name: 'making a backup',
    reach: async ({ daemon }, chance) => {
      await daemon.post('/api/v1/backups');
      await sleep(150 * chance());
    },
    after: ({ daemon }) => backupsOf(daemon).forEach(requireSound),
  },
  {
    name: 'calling people',
    reach: async (stage, chance) => {
      const hot = { bench: `call-${Math.floor(chance() * 1e9)}`, sinceMs: performance.now() };
      await Promise.race([untilWritten(stage, 'outbox', 30 * chance()), wokenAfter(stage, hot)]);
    },
  },
];

/** A backup that is finished is whole; what was cut off is not among them. */
function requireSound(file: string): void {
  const db = new Database(file, { readonly: true });
  const verdict = db.pragma('integrity_check', { simple: true });
  db.close();
  if (verdict !== 'ok') throw new Error(`the backup ${file} is not sound: ${String(verdict)}`);
}

/** Kills the daemon in a phase again and again; air at 48 °C begins with each kill. */
async function killIn(phase: Phase, stage: Stage, { form, seed }: How): Promise<Notes> {
  const chance = seededNumbers(seed + PHASES.indexOf(phase));
  const notes: Notes = { wokenMs: [], backMs: [] };
  for (let kill = 0; kill < KILLS[form]; kill += 1) {
    await phase.reach(stage, chance);
    const sinceMs = performance.now();
    await stage.daemon.kill();
    const bench = `${phase.name.replaceAll(' ', '-')}-${kill}`;
    const [wokenMs] = await Promise.all([
      wokenAfter(stage, { bench, sinceMs }),
      stage.daemon.start().then(() => notes.backMs.push(performance.now() - sinceMs)),
    ]);
    notes.wokenMs.push(wokenMs);
    phase.after?.(stage);
  }
  return notes;
}

/** Several phases on one stage, in a storm that blows all the while; what is lost or doubled counts for the last one so far. */
async function killed(path: BrokerPath, phases: readonly Phase[], how: How): Promise<Row[]> {
  const stage = await openStage(path);
  let storm: Storm | null = null;
  const rows: Row[] = [];
  let doubledBefore = 0;
  try {
    const { restMs } = STORM[path];
    storm = startStorm({ broker: stage.broker, clients: 3, underWay: 5, restMs, seed: how.seed });
    for (const [at, phase] of phases.entries()) {
      const notes = await killIn(phase, stage, how);
      if (at === phases.length - 1) await storm.end();
      const { lost, doubled } = await accountFor(stage.daemon.dataDir, new Set(storm.acknowledgedKeys));
      const allDoubled = doubled + doubledCalls(stage.webhook) + (await spoilt(stage));
      const outcome: Outcome = {
        tries: KILLS[how.form],
        lost,
        doubled: allDoubled - doubledBefore,
        ...notes,
      };
      doubledBefore = allDoubled;
      rows.push({ name: nameOf(path, phase), outcome });
    }
    if (storm.acknowledged() < 50 * rows.length) throw new Error('the storm hardly blew');
    return rows;
  } finally {
    await storm?.end();
    await stage.close();
  }
}

const nameOf = (path: BrokerPath, { name }: Phase) => `killed while ${name}, ${AT[path]}`;

/** Deaths of the daemon in every phase of its work, at both brokers: in the long form each on a stage of its own. */
export const KILLS_AT_WORK: readonly Scene[] = PATHS.flatMap((path): Scene[] => [
  {
    form: 'short',
    names: PHASES.map((phase) => nameOf(path, phase)),
    play: (how) => killed(path, PHASES, how),
  },
  ...PHASES.map(
    (phase): Scene => ({
      form: 'long',
      names: [nameOf(path, phase)],
      play: (how) => killed(path, [phase], how),
    }),
  ),
]);
