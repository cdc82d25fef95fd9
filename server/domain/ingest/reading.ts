import { MAX_FUTURE_MS, RELATIVE_TIME_BELOW_S } from '../../../firmware-contracts/v1/limits.ts';
import { ACCEPTED_UNITS } from '../../../firmware-contracts/v1/units.ts';
import type { ProbeQuantityName } from '../../../shared/quantities.ts';
import { readName } from './name.ts';
import { takesOnOff, type WellKnown } from './quantity.ts';
import { pointerTo, quoted, type Refusal } from './refusal.ts';
import type { Resolved } from './resolve.ts';

/** One value of one probe as it may be stored. */
export type DecodedReading = {
  readonly device: string;
  /** name within the device */
  readonly probe: string;
  /** null for an unassigned probe */
  readonly quantity: ProbeQuantityName | null;
  /** as a person reads it for a well-known probe ('' for a ratio), as sent for any other, null when none was sent */
  readonly unit: string | null;
  /** ms since epoch */
  readonly tMs: number;
  /** finite; in the unit of the quantity and inside its range when the probe is well known */
  readonly value: number;
  /** most seconds until the next reading, when the device says so */
  readonly updateTimeS: number | null;
};

type Arrival = {
  readonly device: string;
  /** ms since epoch */
  readonly arrivedAtMs: number;
  readonly retainedCopy: boolean;
  /** ms since epoch; what is older is refused */
  readonly takenFromMs?: number | undefined;
  /** whether a time in the future is one by a clock that was not set when this one was */
  readonly isExplained?: ((tMs: number) => boolean) | undefined;
};

type Fault = { readonly code: Refusal['code']; readonly reason: string; readonly label?: string };

const EARLIEST_MS = RELATIVE_TIME_BELOW_S * 1000;
const MILLISECONDS_LIKELY_S = 1e11;
const UNITS: ReadonlySet<string> = new Set(ACCEPTED_UNITS);

/**
 * One resolved record as a reading of the topic's device, in the canonical unit of what it measures.
 * @param resolved record with base fields applied, time in ms since epoch
 * @returns the reading, or why its pack is refused
 */
export function readReading(resolved: Resolved, arrival: Arrival): DecodedReading | Refusal {
  const { index, record, name, tMs } = resolved;
  const named = readName({ name, device: arrival.device });
  if ('code' in named) return { ...named, pointer: pointerTo({ index }) };
  const known = named.quantity;
  // On and off have no unit, so a base unit meant for the pack's other records is not theirs.
  const unit = record.vb === undefined ? resolved.unit : (record.u ?? null);
  const measured =
    kindFault(resolved, known) ?? timeFault(resolved, arrival) ?? canonicalValue({ resolved, unit, known });
  if (typeof measured !== 'number') {
    const { code, reason, label } = measured;
    return { code, reason, pointer: pointerTo({ index, label }) };
  }
  return {
    device: arrival.device,
    probe: named.probe,
    quantity: known?.quantity ?? null,
    unit: known === null ? unit : known.unit,
    tMs,
    value: measured,
    updateTimeS: record.ut ?? null,
  };
}

/** Readings are stored as numbers: one v, or one vb where on and off is what is measured. */
function kindFault({ record: { v, vs, vb, vd, s }, name }: Resolved, known: WellKnown | null): Fault | null {
  const kinds =
    Number(v !== undefined) + Number(vs !== undefined) + Number(vb !== undefined) + Number(vd !== undefined);
  if (kinds > 1)
    return { code: 'several-values', reason: `${quoted(name)} has more than one of v, vb, vs, vd` };
  if (v !== undefined) return null;
  if (vb !== undefined) {
    if (known === null || takesOnOff(known)) return null;
    return {
      code: 'unsupported-value',
      reason: `${quoted(name)} measures; vb says only on or off`,
      label: 'vb',
    };
  }
  if (kinds === 0 && s === undefined) return { code: 'no-value', reason: `${quoted(name)} has no value` };
  const label = vs !== undefined ? 'vs' : vd !== undefined ? 'vd' : 's';
  return {
    code: 'unsupported-value',
    reason: `${quoted(name)} has ${label} only; numbers are stored`,
    label,
  };
}

function timeFault({ relative, tMs, name }: Resolved, arrival: Arrival): Fault | null {
  const { arrivedAtMs, retainedCopy, takenFromMs = EARLIEST_MS, isExplained } = arrival;
  if (retainedCopy && relative) {
    const reason = `${quoted(name)} has no absolute time, and the message is an old one the broker kept`;
    return { code: 'retained-without-time', reason };
  }
  if (tMs > arrivedAtMs + MAX_FUTURE_MS && !isExplained?.(tMs)) {
    const hint =
      tMs > MILLISECONDS_LIKELY_S * 1000 ? '; SenML times are seconds, this looks like milliseconds' : '';
    const aheadS = Math.round((tMs - arrivedAtMs) / 1000);
    const reason = `${quoted(name)} is timed ${aheadS} s after its arrival; ${MAX_FUTURE_MS / 1000} s are allowed${hint}`;
    return { code: 'time-in-future', reason };
  }
  if (tMs >= EARLIEST_MS && tMs < takenFromMs) {
    const reason = `${quoted(name)} is timed ${new Date(tMs).toISOString()}; readings before ${new Date(takenFromMs).toISOString()} are not kept any more`;
    return { code: 'beyond-retention', reason };
  }
  if (tMs >= EARLIEST_MS) return null;
  return {
    code: 'bad-time',
    reason: `${quoted(name)} is timed ${tMs} ms since 1970; the earliest is ${EARLIEST_MS}`,
  };
}

/** The value in the canonical unit, inside the range of the quantity; as sent for an unassigned probe. */
function canonicalValue({
  resolved: { record, name, value },
  unit,
  known,
}: {
  readonly resolved: Resolved;
  readonly unit: string | null;
  readonly known: WellKnown | null;
}): number | Fault {
  if (unit !== null && !UNITS.has(unit)) {
    return {
      code: 'unit-unknown',
      reason: `${quoted(name)} has the unit ${quoted(unit)}, not registered for SenML`,
    };
  }
  const sent = value ?? Number(record.vb);
  if (known === null) {
    return Number.isFinite(sent)
      ? sent
      : { code: 'out-of-range', reason: `${quoted(name)} is beyond any number` };
  }
  if (record.vb !== undefined && unit === null) return sent;
  const convert = unit === null ? undefined : known.convert.get(unit);
  if (convert === undefined) {
    const allowed = [...known.convert.keys()].join(', ');
    const reason = `${quoted(name)} has the unit ${unit === null ? 'none' : quoted(unit)}; send ${allowed}`;
    return { code: unit === null ? 'unit-missing' : 'unit-unfit', reason };
  }
  const converted = convert(sent);
  if (converted >= known.low && converted <= known.high) return converted;
  const reason = `${quoted(name)} reads ${converted} ${known.unit}; ${known.low} to ${known.high} can be`;
  return { code: 'out-of-range', reason };
}
