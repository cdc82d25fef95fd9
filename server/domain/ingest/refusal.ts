import type { PackFaultCode } from '../../../shared/faults.ts';

/** Why a pack was refused, and where in it: an RFC 6901 pointer to the record or field, or null for the whole. */
export type Refusal = {
  readonly code: PackFaultCode;
  readonly reason: string;
  readonly pointer: string | null;
};

const MAX_QUOTED_CHARS = 80;

/** A value from outside as it may stand in a sentence: short, and never walked into. */
export function quoted(value: unknown): string {
  if (value === undefined) return 'nothing';
  if (Array.isArray(value)) return 'an array';
  if (typeof value === 'object' && value !== null) return 'an object';
  if (typeof value !== 'string') return String(value);
  return value.length <= MAX_QUOTED_CHARS
    ? JSON.stringify(value)
    : `${JSON.stringify(value.slice(0, MAX_QUOTED_CHARS))}…`;
}

/**
 * JSON pointer to a record of a pack, or to one of its fields.
 * @source RFC 6901 section 3
 */
export function pointerTo({
  index,
  label,
}: {
  readonly index: number;
  readonly label?: string | undefined;
}): string {
  if (label === undefined || label.length > MAX_QUOTED_CHARS) return `/${index}`;
  return `/${index}/${label.replaceAll('~', '~0').replaceAll('/', '~1')}`;
}
