import { endOf, type Holding, holding, type KeptBatch, type LeadingChoice, type Stay } from './batch.ts';

/** What decides who leads at a place. */
export type LeadingQuestion = {
  readonly placeId: string;
  readonly batches: readonly KeptBatch[];
  readonly choices: readonly LeadingChoice[];
};

/** Who leads from a time on, ms since epoch; null: none. */
export type Lead = {
  readonly fromMs: number;
  readonly batch: KeptBatch | null;
  /** false: it leads as the first batch there */
  readonly chosen: boolean;
};

type Stood = Holding<Stay> & { readonly batch: KeptBatch };

/**
 * Who leads at a place over time.
 *
 * A batch that was chosen leads while it stands there, open. Where none was chosen, or the chosen one has left, closed
 * or deleted, the open batch whose standing there was entered first leads. That none leads holds until no batch is
 * there at all.
 * @returns ascending by `fromMs`, with an entry at each change; empty where no batch ever stood
 */
export function leadsOf({ placeId, batches, choices }: LeadingQuestion): Lead[] {
  const stood = staysAt(placeId, batches);
  const times = new Set(stood.flatMap(({ fromMs, toMs }) => [fromMs, toMs]));
  for (const { fromMs } of choices) times.add(fromMs);
  const ascending = [...times].filter(Number.isFinite).sort((a, b) => a - b);
  const arriving = stood.toSorted((a, b) => a.fromMs - b.fromMs);
  const choosing = choices.toSorted((a, b) => a.fromMs - b.fromMs);
  const leads: Lead[] = [];
  let present: Stood[] = [];
  let occupiedFromMs = Number.POSITIVE_INFINITY;
  let choice: LeadingChoice | null = null;
  for (const atMs of ascending) {
    present = present.filter(({ toMs }) => toMs > atMs);
    if (present.length === 0) occupiedFromMs = Number.POSITIVE_INFINITY;
    while ((arriving[0]?.fromMs ?? Number.POSITIVE_INFINITY) <= atMs) present.push(arriving.shift() as Stood);
    if (present.length > 0) occupiedFromMs = Math.min(occupiedFromMs, atMs);
    while ((choosing[0]?.fromMs ?? Number.POSITIVE_INFINITY) <= atMs)
      choice = later(choice, choosing.shift() as LeadingChoice);
    const lead = leadAt(present, { choice, occupiedFromMs, stood });
    const last = leads.at(-1);
    if ((last?.batch ?? null) !== lead.batch || (last && last.chosen !== lead.chosen))
      leads.push({ fromMs: atMs, ...lead });
  }
  return leads;
}

/** The stays of batches at a place, as long as they were open. */
export function staysAt(placeId: string, batches: readonly KeptBatch[]): Stood[] {
  return batches
    .filter(({ deletedMs }) => deletedMs === null)
    .flatMap((batch) =>
      holding(batch.stays, endOf(batch))
        .filter((stay) => stay.placeId === placeId)
        .map((stay) => ({ ...stay, batch })),
    );
}

function later(one: LeadingChoice | null, other: LeadingChoice): LeadingChoice {
  return one !== null && one.entered > other.entered ? one : other;
}

type Deciding = {
  readonly choice: LeadingChoice | null;
  readonly occupiedFromMs: number;
  readonly stood: readonly Stood[];
};

function leadAt(
  present: readonly Stood[],
  { choice, occupiedFromMs, stood }: Deciding,
): Omit<Lead, 'fromMs'> {
  const first = present.reduce<Stood | null>(
    (least, stay) => (least === null || stay.entered < least.entered ? stay : least),
    null,
  );
  if (first === null) return { batch: null, chosen: false };
  if (choice === null) return { batch: first.batch, chosen: false };
  if (choice.batchId === null)
    return occupiedFromMs <= choice.fromMs
      ? { batch: null, chosen: true }
      : { batch: first.batch, chosen: false };
  // the stay it was chosen in: once it left, it is not chosen any more
  const meant = stood.find(({ batch, toMs }) => batch.id === choice.batchId && toMs > choice.fromMs);
  return meant && present.includes(meant)
    ? { batch: meant.batch, chosen: true }
    : { batch: first.batch, chosen: false };
}
