import { Fault } from '../../../../shared/faults.ts';
import {
  MAX_MAPPINGS,
  type Mapping,
  type NewMapping,
  sharesTopics,
} from '../../../../shared/model/probes/mapping.ts';
import { isContractTopic, topicFits } from '../../../../shared/topic-filter.ts';
import type { MappingView } from '../../../../shared/wire/probes/foreign-messages.ts';
import { readyMapping } from '../../../domain/mappings/ready-mapping.ts';
import type { Store } from '../../../ports.ts';

/** The result of a message that a mapping read. */
export type MappedOutcome = {
  readonly id: number;
  readonly topic: string;
  readonly atMs: number;
  /** why it was refused; null when it was accepted */
  readonly code: string | null;
  /** readings that were news */
  readonly stored: number;
};

type Counts = { readonly last: MappedOutcome | null; readonly stored: number; readonly refused: number };
const NO_COUNTS: Counts = { last: null, stored: 0, refused: 0 };

export type BookDeps = {
  readonly store: Store;
  /** keeps a change, or throws Fault `store-failed` */
  readonly commit: <T>(work: () => T) => T;
  /** called with the filters to subscribe to, after each change */
  readonly onFilters: (filters: readonly string[]) => void;
};

/** The mappings in memory as they are in the store, and the results of each since the start. */
export function createMappingBook({ store, commit, onFilters }: BookDeps) {
  let mappings = store.mappings.all();
  const counts = new Map<number, Counts>();
  const changed = <T>(work: () => T): T => {
    const result = commit(work);
    mappings = store.mappings.all();
    onFilters(mappings.map(({ filter }) => filter));
    return result;
  };
  const view = (mapping: Mapping): MappingView => {
    const { last, stored, refused } = counts.get(mapping.id) ?? NO_COUNTS;
    const lastAt = last === null ? null : new Date(last.atMs).toISOString();
    return {
      ...mapping,
      lastAt,
      lastTopic: last?.topic ?? null,
      lastCode: last?.code ?? null,
      stored,
      refused,
    };
  };
  return {
    filters: () => mappings.map(({ filter }) => filter),
    /** How a topic is read; null for those of the contract, and those nobody reads. */
    mappingOf(topic: string): Mapping | null {
      if (mappings.length === 0 || isContractTopic(topic)) return null;
      return mappings.find(({ filter }) => topicFits(filter, topic)) ?? null;
    },
    note(outcome: MappedOutcome) {
      const { stored, refused } = counts.get(outcome.id) ?? NO_COUNTS;
      const refusedNow = refused + (outcome.code === null ? 0 : 1);
      counts.set(outcome.id, { last: outcome, stored: stored + outcome.stored, refused: refusedNow });
    },
    views: () => mappings.map(view),
    add(entered: NewMapping): MappingView {
      const mapping = readyMapping(entered);
      requireRoom(mappings.length);
      requireOwnTopics(mapping.filter, mappings);
      return view(changed(() => store.mappings.add(mapping)));
    },
    update(id: number, entered: NewMapping): MappingView {
      const mapping = readyMapping(entered);
      requireOwnTopics(
        mapping.filter,
        mappings.filter((other) => other.id !== id),
      );
      const updated = { ...mapping, id };
      if (!changed(() => store.mappings.update(updated))) throw notFound(id);
      return view(updated);
    },
    remove(id: number) {
      if (!changed(() => store.mappings.remove(id))) throw notFound(id);
      counts.delete(id);
    },
  };
}

function requireRoom(count: number): void {
  if (count < MAX_MAPPINGS) return;
  throw new Fault({
    code: 'bad-request',
    message: `There are ${MAX_MAPPINGS} mappings, the most that are kept.`,
  });
}

function requireOwnTopics(filter: string, others: readonly Mapping[]): void {
  const other = sharesTopics(filter, others);
  if (other === null) return;
  const message = `"${filter}" shares topics with "${other.filter}", which is read already: a topic is read once. Add the value there.`;
  throw new Fault({
    code: 'bad-request',
    message,
    details: { filter: `shares topics with "${other.filter}"` },
  });
}

function notFound(id: number): Fault {
  return new Fault({
    code: 'not-found',
    message: `There is no mapping ${id}; GET /api/v1/mappings lists them.`,
  });
}
