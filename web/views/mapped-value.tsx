import { useId } from 'preact/hooks';
import type { MappableProbe } from '../../shared/wire/hearing.ts';
import { probeOf, type ValueDraft } from '../state/mapping-form.ts';

type ValueProps = {
  readonly value: ValueDraft;
  readonly probes: readonly MappableProbe[];
  readonly onChange: (value: ValueDraft) => void;
  readonly remove: () => void;
};

/** Words of the units a reading may come in. */
const UNIT_WORDS: Readonly<Record<string, string>> = {
  Cel: '°C',
  degF: '°F',
  K: 'K',
  '%RH': '% (0 to 100)',
  '%EL': '% (0 to 100)',
  '/': 'fraction (0 to 1)',
  lx: 'lux',
  'umol/m2/s': 'µmol m⁻² s⁻¹',
};

/** One value of a message: what it is, in which unit, and how it is scaled. */
export function MappedValueFields({ value, probes, onChange, remove }: ValueProps) {
  const id = useId();
  const known = probes.find(({ probe }) => probe === value.known);
  const set = (change: Partial<ValueDraft>) => onChange({ ...value, ...change });
  const choose = (probe: string) => {
    const units = probes.find((one) => one.probe === probe)?.units ?? [];
    set({ known: probe, unit: units.includes(value.unit) ? value.unit : (units[0] ?? '') });
  };
  const input = (name: 'number' | 'other' | 'pointer' | 'scale' | 'offset' | 'unit', more: object = {}) => (
    <input
      id={`${id}-${name}`}
      value={value[name]}
      autocomplete="off"
      spellcheck={false}
      onInput={(event) => set({ [name]: event.currentTarget.value })}
      {...more}
    />
  );
  const scaled = value.scale !== '1' || value.offset !== '0';
  return (
    <li class="mapped-value" data-testid="mapped-value">
      <p class="breakable">
        <code>{value.pointer === '' ? 'the whole message' : value.pointer}</code> is
      </p>
      <div class="mapped-fields">
        <label for={`${id}-known`}>reading</label>
        <select
          id={`${id}-known`}
          value={value.known}
          onChange={(event) => choose(event.currentTarget.value)}
        >
          {probes.map(({ probe, words }) => (
            <option key={probe} value={probe}>
              {words}
            </option>
          ))}
          <option value="">something else</option>
        </select>
        {known ? (
          <>
            <label for={`${id}-unit`}>sent in</label>
            <select
              id={`${id}-unit`}
              value={value.unit}
              onChange={(event) => set({ unit: event.currentTarget.value })}
            >
              {known.units.map((unit) => (
                <option key={unit} value={unit}>
                  {UNIT_WORDS[unit] ?? unit}
                </option>
              ))}
            </select>
            <label for={`${id}-number`}>number</label>
            <span>
              {input('number', { inputMode: 'numeric', size: 3, maxLength: 9 })}{' '}
              <span class="quiet">only where there are several</span>
            </span>
          </>
        ) : (
          <>
            <label for={`${id}-other`}>its name</label>
            {input('other', { class: 'long', maxLength: 96, placeholder: 'soil/moisture' })}
            <label for={`${id}-unit`}>unit code</label>
            {input('unit', { maxLength: 40, placeholder: 'none' })}
          </>
        )}
      </div>
      <details open={scaled}>
        <summary>Scale, place in the message, may be missing</summary>
        <div class="mapped-fields">
          <label for={`${id}-scale`}>times</label>
          {input('scale', { inputMode: 'decimal', size: 8 })}
          <label for={`${id}-offset`}>then plus</label>
          {input('offset', { inputMode: 'decimal', size: 8 })}
          <label for={`${id}-pointer`}>pointer</label>
          {input('pointer', { class: 'long', maxLength: 500 })}
        </div>
        <label class="check">
          <input
            type="checkbox"
            checked={value.optional}
            onChange={(event) => set({ optional: event.currentTarget.checked })}
          />
          some messages come without it
        </label>
      </details>
      <button type="button" onClick={remove}>
        Leave this value out<span class="unseen"> {probeOf(value)}</span>
      </button>
    </li>
  );
}
