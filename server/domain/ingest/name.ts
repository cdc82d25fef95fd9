import { MAX_PROBE_NAME_CHARS } from '../../../firmware-contracts/v1/limits.ts';
import { type WellKnown, wellKnown } from './quantity.ts';
import { quoted, type Refusal } from './refusal.ts';

/** A probe of the topic's device; `quantity` is null when the name is not a well-known one. */
type Named = { readonly probe: string; readonly quantity: WellKnown | null };

const SENML_NAME = /^[A-Za-z0-9][A-Za-z0-9\-:./_]*$/;

/**
 * Reads a resolved SenML name as a probe of a device: `<probe>` or `<device>/<probe>`.
 * A name whose rest after the first level is well known, but whose first level is not
 * the device, belongs to another device; any other name is an unassigned probe.
 * @source [RFC8428] section 4.5.1 for the characters
 */
export function readName({
  name,
  device,
}: {
  readonly name: string;
  readonly device: string;
}): Named | Omit<Refusal, 'pointer'> {
  const own = name.startsWith(`${device}/`);
  const probe = own ? name.slice(device.length + 1) : name;
  const quantity = wellKnown(probe);
  if (quantity !== null) return { probe, quantity };
  // A device may be called like a position: then "root/temperature" is its probe, not its "temperature".
  const whole = own ? wellKnown(name) : null;
  if (whole !== null) return { probe: name, quantity: whole };
  if (!SENML_NAME.test(probe) || probe.length > MAX_PROBE_NAME_CHARS) {
    const reason = `the name ${quoted(name)} is not 1 to ${MAX_PROBE_NAME_CHARS} of A-Z a-z 0-9 - : . / _ after an optional "${device}/", beginning with a letter or digit`;
    return { code: 'bad-name', reason };
  }
  if (own || wellKnown(name.slice(name.indexOf('/') + 1)) === null) return { probe, quantity: null };
  const reason = `the name ${quoted(name)} is of another device than the topic's ${quoted(device)}`;
  return { code: 'other-device', reason };
}
