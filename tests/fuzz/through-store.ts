import { dirname } from 'node:path';
import Database from 'better-sqlite3';
import fc from 'fast-check';
import { inspectRecord } from '../../server/adapters/sqlite/file/inspect.ts';
import { openStore } from '../../server/adapters/sqlite/store.ts';
import { readMessage } from '../../server/daemon/intake/foreign-messages/read-message.ts';
import { World } from '../../server/daemon/world/world.ts';
import type { RawMessage } from '../../server/ports.ts';
import { Fault } from '../../shared/faults.ts';
import type { NewMapping } from '../../shared/model/probes/mapping.ts';
import { removeFolder } from '../support/folders.ts';
import { bytesOf, exchangeOf, ORDER } from '../unit/server/support/exchange.ts';
import { clockByHand } from '../unit/server/support/hand.ts';
import { databaseFile, type House, START_MS, startHouse } from '../unit/server/support/house.ts';
import { type Deed, deed } from './deeds.ts';

const number = { pointer: '', unit: 'Cel', scale: 1, offset: 0, optional: false };
const part = (pointer: string, probe: string) => ({
  ...number,
  pointer,
  probe,
  unit: null,
  scale: 1e300,
  optional: true,
});
const MAPPINGS: readonly NewMapping[] = [
  {
    filter: 'shed/#',
    device: { kind: 'named', name: 'shed' },
    placeId: null,
    time: { kind: 'arrival' },
    values: [{ ...number, probe: 'air/temperature' }],
  },
  {
    filter: 'level/+',
    device: { kind: 'level', level: 2 },
    placeId: 'no such place',
    time: { kind: 'pointer', pointer: '/at', as: 'rfc3339' },
    values: [part('/t', 'soil/moisture'), part('/h', 'constructor')],
  },
];

type Expected = { readonly readings: Map<string, Map<number, number>>; refused: number };

export type Played = { readonly stored: number; readonly refused: number };

/** The text of a value with the fields of each object in order. */
function stableText(value: unknown): string {
  return JSON.stringify(value, (_key, part: unknown) =>
    typeof part === 'object' && part !== null && !Array.isArray(part)
      ? Object.fromEntries(Object.entries(part).sort(([a], [b]) => (a < b ? -1 : 1)))
      : part,
  );
}

/** One run of a house through what happens to it, with what its record must hold in the end. */
class Story {
  readonly #file = databaseFile();
  readonly #hand = clockByHand(START_MS);
  readonly #expected: Expected = { readings: new Map(), refused: 0 };
  #house = this.#open();

  constructor() {
    for (const mapping of MAPPINGS) this.#house.daemon.foreignMessages.addMapping(mapping);
    this.#house.daemon.foreignMessages.watch();
  }

  #open(): House {
    return startHouse({ store: openStore({ file: this.#file, nowMs: START_MS }), hand: this.#hand });
  }

  /** @returns how many readings its record holds in the end, and how many messages were refused */
  async play(deeds: readonly Deed[]): Promise<Played> {
    try {
      for (const one of deeds) await this.#do(one);
      this.#restart();
      this.#check();
      this.#close();
      const stored = [...this.#expected.readings.values()].reduce((sum, { size }) => sum + size, 0);
      return { stored, refused: this.#expected.refused };
    } finally {
      removeFolder(dirname(this.#file));
    }
  }

  async #do(one: Deed): Promise<void> {
    if (one.kind === 'pass') this.#hand.pass(one.seconds * 1000);
    else if (one.kind === 'restart') this.#restart();
    else if (one.kind === 'file') await this.#importFile(one);
    else await this.#send(one);
  }

  async #send({ topic, payload, retained }: Extract<Deed, { kind: 'message' }>): Promise<void> {
    const { daemon } = this.#house;
    const message = { topic, payload, arrivedAtMs: this.#hand.clock.nowMs(), retainedCopy: retained };
    daemon.foreign.observe(message);
    daemon.foreign.speaksFor(topic);
    this.#expect(message);
    // what is not acknowledged is thrown here
    await this.#house.send(message);
  }

  /** What the decoder says of a message is what the record must hold of it: the first value of a time stays. */
  #expect(message: RawMessage): void {
    const { daemon, store } = this.#house;
    const mapping =
      daemon.foreignMessages
        .mappings()
        .mappings.find(({ filter }) => message.topic.startsWith(filter.split('/')[0] ?? '')) ?? null;
    const decoded = readMessage(message, { world: daemon.world, store, mapping });
    if (decoded === null) return;
    if (!decoded.ok) {
      this.#expected.refused += 1;
      return;
    }
    for (const { device, probe, tMs, value } of decoded.readings)
      this.#put(`${device}\n${probe}`, tMs, value);
  }

  #put(name: string, tMs: number, value: number): void {
    const known = this.#expected.readings.get(name) ?? new Map<number, number>();
    if (!known.has(tMs)) known.set(tMs, value);
    this.#expected.readings.set(name, known);
  }

  /** A file may be refused as a whole, by a fault; what of it was stored is read back, as the report only counts it. */
  async #importFile({ as, device, text }: Extract<Deed, { kind: 'file' }>): Promise<void> {
    const before = this.#stored();
    try {
      await exchangeOf(this.#house).importFrom(bytesOf(text), { ...ORDER, as, device, zone: 'UTC' });
    } catch (cause) {
      if (!(cause instanceof Fault) || cause.code !== 'bad-request') throw cause;
    }
    for (const [name, readings] of this.#stored()) {
      for (const [tMs, value] of readings) {
        if (!before.get(name)?.has(tMs)) this.#put(name, tMs, value);
      }
    }
  }

  #stored(): Map<string, Map<number, number>> {
    const { store } = this.#house;
    return new Map(
      store.probes.all().flatMap(({ id, device, name }) => {
        const [found] = store.journal.window({
          probeIds: [id],
          fromMs: 0,
          toMs: 2 * START_MS,
          asReported: true,
        });
        if (!found) return [];
        const values = new Map([...found.timesMs].map((tMs, i) => [tMs, found.values[i] as number]));
        return [[`${device}\n${name}`, values] as const];
      }),
    );
  }

  #restart(): void {
    // every page is asked for once, as somebody would who looks
    const { queries } = this.#house.daemon;
    JSON.stringify([
      queries.places(),
      queries.probes(),
      queries.refused(),
      queries.alarms(),
      queries.house(),
    ]);
    this.#house.daemon.foreignMessages.watched({ afterId: 0 });
    this.#requireSound();
    this.#close();
    this.#house = this.#open();
    this.#hand.pass(1_000);
    this.#requireSound();
  }

  #close(): void {
    this.#house.daemon.stop();
    this.#house.store.close();
  }

  /** Nothing was thrown out of a turn, and what is in memory is what a start would read. */
  #requireSound(): void {
    const { log, daemon, store } = this.#house;
    const errors = log.lines.filter(({ level }) => level === 'error');
    if (errors.length > 0) throw new Error(`something failed: ${JSON.stringify(errors)}`);
    // in whatever order their fields were set
    const memory = stableText(worldOf(daemon.world));
    const record = stableText(worldOf(new World(store)));
    if (memory !== record) throw new Error(`memory ${memory}\nrecord ${record}`);
  }

  #check(): void {
    const stored = this.#stored();
    const { total, byCode } = this.#house.daemon.queries.refused();
    if (total !== this.#expected.refused || 'not-storable' in byCode)
      throw new Error(`refused ${JSON.stringify(byCode)}, expected ${this.#expected.refused}`);
    const listed = (readings: ReadonlyMap<string, ReadonlyMap<number, number>>) =>
      [...readings]
        .map(([name, of]) => [name, [...of].sort(([a], [b]) => a - b)] as const)
        .sort(([a], [b]) => (a < b ? -1 : 1));
    const [expected, kept] = [listed(this.#expected.readings), listed(stored)].map((list) =>
      JSON.stringify(list, (_key, value: unknown) => (Object.is(value, -0) ? '-0' : value)),
    );
    if (expected !== kept) throw new Error(`told ${expected}\nkept ${kept}`);
    this.#checkFile();
  }

  #checkFile(): void {
    const db = new Database(this.#file, { readonly: true });
    const verdict = db.pragma('integrity_check', { simple: true });
    const strays = db.pragma('foreign_key_check');
    db.close();
    if (verdict !== 'ok' || (Array.isArray(strays) && strays.length > 0))
      throw new Error(`damaged: ${String(verdict)}`);
    inspectRecord(this.#file);
  }
}

function worldOf({ places, probes, latest, alarms, fromFile }: World) {
  const byId = ([a]: readonly [string | number, unknown], [b]: readonly [string | number, unknown]) =>
    String(a) < String(b) ? -1 : 1;
  return {
    places: [...places].sort(byId),
    probes: [...probes].sort(byId),
    newest: [...latest].map(([id, { tMs, value }]) => [id, { tMs, value }] as const).sort(byId),
    // conditions and the newest value that an alarm names are made again from the readings
    alarms: [...alarms]
      .filter(([, { raisedAtMs }]) => raisedAtMs !== null)
      .map(([id, { conditions: _conditions, facts: _facts, ...record }]) => [id, record] as const)
      .sort(byId),
    fromFile: [...fromFile].sort((a, b) => a - b),
  };
}

/**
 * Plays stories through the real daemon on its real record.
 *
 * @param count how many; the seed is that of property tests
 * @returns readings stored and messages refused, of all stories together
 * @throws Error with the shortest story that fails: something was thrown or not acknowledged, or the record differs from what was sent
 */
export async function playStories(count: number): Promise<Played> {
  let [stored, refused] = [0, 0];
  const stories = fc.array(deed, { minLength: 1, maxLength: 40, size: 'max' });
  const story = fc.asyncProperty(stories, async (deeds) => {
    const played = await new Story().play(deeds);
    stored += played.stored;
    refused += played.refused;
  });
  await fc.assert(story, { numRuns: count });
  return { stored, refused };
}
