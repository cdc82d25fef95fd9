import { Fault } from '../../../shared/faults.ts';
import type { MappedValue, NewMapping } from '../../../shared/model/probes/mapping.ts';
import { unitCode, unitsOf } from '../exchange/units.ts';
import { readName } from '../ingest/name.ts';
import { quoted } from '../ingest/refusal.ts';

/**
 * A mapping as it is kept: units by their codes, whatever their spelling was.
 *
 * @param mapping as somebody entered it
 * @returns the same with each unit as a code of readings packs
 * @throws Fault `bad-request` for one that could refuse every message and read none: a unit that does not measure its
 * probe, the probe of another device, a level that the topic does not have
 */
export function readyMapping(mapping: NewMapping): NewMapping {
  const values = mapping.values.map((value, index) => readyValue(value, { mapping, index }));
  const level = levelFault(mapping);
  if (level !== null) throw never('device.level', level);
  return { ...mapping, values };
}

type Within = { readonly mapping: NewMapping; readonly index: number };

function readyValue(value: MappedValue, { mapping, index }: Within): MappedValue {
  const { probe, unit } = value;
  const field = `values.${index}`;
  if (mapping.device.kind === 'named') {
    const named = readName({ name: probe, device: mapping.device.name });
    if ('code' in named) throw never(`${field}.probe`, named.reason);
  }
  const code = unitCode({ spelled: unit ?? '', probe });
  if (code === null) throw never(`${field}.unit`, `${quoted(unit)} is no unit known here`);
  const allowed = unitsOf(probe);
  if (allowed !== null && !allowed.includes(code)) {
    const given = code === '' ? 'no unit' : quoted(unit);
    throw never(`${field}.unit`, `${probe} has ${given}; it is read in ${allowed.join(', ')}`);
  }
  return { ...value, unit: code === '' ? null : code };
}

/** `#` stands for any number of levels. */
function levelFault({ device, filter }: NewMapping): string | null {
  if (device.kind === 'named') return null;
  const levels = filter.split('/');
  if (levels.at(-1) === '#' || device.level <= levels.length) return null;
  return `${quoted(filter)} has ${levels.length} levels, and the device would be level ${device.level}`;
}

function never(field: string, why: string): Fault {
  const message = `No message could ever be read so: ${why}.`;
  return new Fault({ code: 'bad-request', message, details: { [field]: why } });
}
