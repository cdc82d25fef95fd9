import type { BandPiece } from '../../../../shared/exposure/bands.ts';
import type { ProbeRecord, Segments, Window } from '../../../../shared/exposure/series.ts';
import type { ThresholdSpan } from '../../../../shared/exposure/threshold.ts';
import type { Place } from '../../../../shared/model/place.ts';
import type { ProbeQuantityName } from '../../../../shared/quantities.ts';
import type { UnmistedFacts } from '../../../../shared/rules/facts.ts';
import type { Moment } from '../../../../shared/rules/rule.ts';
import type { MistRecord } from '../../mist/pulse.ts';
import type { Vent } from '../../vents/vent.ts';
import type { Trail } from '../trail.ts';

/** A reading of a probe: ms since epoch, in the unit of its quantity. */
export type ProbeReading = {
  readonly tMs: number;
  readonly value: number;
  readonly quantity: ProbeQuantityName;
};

/** The newest reading of each probe at a position that is no older than a gap may last; null where there is none. */
export type Fresh = { readonly tMs: number; readonly values: readonly number[] } | null;

/** What a rule sees beside the reading that is judged, live or at the same moment of the past. */
export type Beside = {
  /** factor of the light source, lx per µmol m⁻² s⁻¹ */
  readonly lxPerUmol: number;
  /** the last hour of the probe itself, thinned */
  readonly trail: Trail;
  readonly moment: Moment;
  readonly fresh: (quantity: ProbeQuantityName) => Fresh;
};

/** A rule that is judged by each reading of one probe. */
export type ProbeSampler = {
  readonly by: 'probe';
  /** the reading itself is held against the limit, so what was spent of a delay can be read back from the record */
  readonly asRead: boolean;
  /** other positions it looks at */
  readonly beside: readonly ProbeQuantityName[];
  /** how far before a span its readings are wanted, ms */
  readonly beforeMs: number;
  /** @returns the value in the unit of the rule; null where it is not known */
  readonly value: (reading: ProbeReading, beside: Beside) => number | null;
};

/** A rule that is judged by the newest readings of two positions together. */
export type PlaceSampler = {
  readonly by: 'place';
  readonly beside: readonly ProbeQuantityName[];
  readonly beforeMs: number;
  /** the two positions; without a reading of the second the first need not be put together */
  readonly pair: readonly [ProbeQuantityName, ProbeQuantityName];
  readonly value: (first: number, second: number) => number | null;
};

/** One sample of the record: minutes or hours, and the limit at that time. */
export type LimitSample = {
  readonly tMs: number;
  readonly value: number | null;
  readonly limit: number | null;
  /** why nothing is asked, where the limit is null */
  readonly unjudged?: string;
  /** whether a value within the limit shows that what was past it since then has recovered; absent: it does */
  readonly recovers?: (sinceMs: number) => boolean;
  /** it is within only because what it is counted by was moved */
  readonly limitMoved?: true;
  /** whose time without mist the limit follows from */
  readonly unmisted?: UnmistedFacts;
};

/** The samples asked for, and what the record of the place says of mist, vents and saturation, made on demand. */
export type SampleQuestion = {
  readonly place: Place;
  readonly span: Window;
  /** whether a probe of the rule had reported within a gap; asked at times that only grow */
  readonly reported: (tMs: number) => boolean;
  /** asked at times that only grow */
  readonly moment: (tMs: number) => Moment;
  readonly mist: () => {
    readonly mist: MistRecord;
    /** pulses that brought water, by the air and the leaf alone */
    readonly water: () => MistRecord;
    readonly light: readonly ThresholdSpan[];
    readonly intervalMs: number | null;
    /** what the targets want where nothing is stated, ms */
    readonly wantedMs: (atMs: number) => number | null;
  };
  /** the batch that stands the shortest without mist at a time, as estimated; asked at times that only grow */
  readonly unmisted: () => (tMs: number) => UnmistedFacts | null;
  readonly vents: () => { readonly vents: readonly Vent[]; readonly reliable: boolean };
  readonly saturation: () => readonly ThresholdSpan[];
  readonly rootZone: () => { readonly segments: Segments; readonly bands: readonly BandPiece[] };
};

/** A rule that is evaluated from the record of the last hours, every five minutes. */
export type RecordSampler = {
  readonly by: 'record';
  readonly beside: readonly ProbeQuantityName[];
  readonly beforeMs: number;
  /** whether a place with probes of these quantities can be judged by it at all */
  readonly applies: (place: Place, quantities: ReadonlySet<ProbeQuantityName>) => boolean;
  /** whether what it watches is known to be at the place, so that it is missed when it cannot be judged; absent: it is */
  readonly expected?: RecordSampler['applies'];
  /** where there is a probe of this, the rule is judged by it alone */
  readonly firstBy?: ProbeQuantityName;
  readonly samples: (into: SampleQuestion) => LimitSample[];
};

export type Sampler = ProbeSampler | PlaceSampler | RecordSampler;

/** A rule that holds the readings of a probe as they are against its limit. */
export const AS_READ: ProbeSampler = {
  by: 'probe',
  asRead: true,
  beside: [],
  beforeMs: 0,
  value: ({ value }) => value,
};

/** True at the times at which one of some records has a reading no older than a gap may last; asked at growing times. */
export function reporting(records: readonly ProbeRecord[], maxGapMs: number): (tMs: number) => boolean {
  const next = records.map(() => 0);
  return (tMs) => {
    let newestMs = Number.NEGATIVE_INFINITY;
    for (const [probe, { timesMs }] of records.entries()) {
      let at = next[probe] as number;
      while (at < timesMs.length && (timesMs[at] as number) <= tMs) at += 1;
      next[probe] = at;
      newestMs = Math.max(newestMs, timesMs[at - 1] ?? Number.NEGATIVE_INFINITY);
    }
    return tMs - newestMs <= maxGapMs;
  };
}
