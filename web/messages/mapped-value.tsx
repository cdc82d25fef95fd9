import { useId } from 'preact/hooks';
import type { MappableProbe } from '../../shared/wire/probes/foreign-messages.ts';
import { probeOf, type ValueDraft } from './mapping-form.ts';

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

type PartProps = {
  readonly id: string;
  readonly value: ValueDraft;
  readonly set: (change: Partial<ValueDraft>) => void;
};
/** Attributes of the input that differ from one field to the next. */
type InputShape = {
  readonly inputMode?: 'numeric' | 'decimal';
  readonly size?: number;
  readonly maxLength?: number;
  readonly placeholder?: string;
  readonly class?: string;
};
type Typed = 'number' | 'other' | 'pointer' | 'scale' | 'offset' | 'unit';

function TypedField({
  id,
  value,
  set,
  name,
  label,
  ...more
}: PartProps & { name: Typed; label: string } & InputShape) {
  return (
    <>
      <label for={`${id}-${name}`}>{label}</label>
      <input
        id={`${id}-${name}`}
        value={value[name]}
        autocomplete="off"
        spellcheck={false}
        onInput={(event) => set({ [name]: event.currentTarget.value })}
        {...more}
      />
    </>
  );
}

function UnitChoice({ id, value, set, units }: PartProps & { readonly units: readonly string[] }) {
  return (
    <>
      <label for={`${id}-unit`}>sent in</label>
      <select
        id={`${id}-unit`}
        value={value.unit}
        onChange={(event) => set({ unit: event.currentTarget.value })}
      >
        {units.map((unit) => (
          <option key={unit} value={unit}>
            {UNIT_WORDS[unit] ?? unit}
          </option>
        ))}
      </select>
    </>
  );
}

function FurtherFields(part: PartProps) {
  const { value, set } = part;
  const scaled = value.scale !== '1' || value.offset !== '0';
  return (
    <details open={scaled}>
      <summary>Number, scale, place in the message, may be missing</summary>
      <div class="mapped-fields">
        {value.known !== '' && (
          <TypedField
            {...part}
            name="number"
            label="number"
            inputMode="numeric"
            size={8}
            maxLength={9}
            placeholder="one only"
          />
        )}
        <TypedField {...part} name="scale" label="times" inputMode="decimal" size={8} />
        <TypedField {...part} name="offset" label="then plus" inputMode="decimal" size={8} />
        <TypedField {...part} name="pointer" label="pointer" class="long" maxLength={500} />
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
  );
}

/** One value of a message: what it is, in which unit, and how it is scaled. */
export function MappedValueFields({ value, probes, onChange, remove }: ValueProps) {
  const id = useId();
  const known = probes.find(({ probe }) => probe === value.known);
  const set = (change: Partial<ValueDraft>) => onChange({ ...value, ...change });
  const part = { id, value, set };
  const choose = (probe: string) => {
    const units = probes.find((one) => one.probe === probe)?.units ?? [];
    set({ known: probe, unit: units.includes(value.unit) ? value.unit : (units[0] ?? '') });
  };
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
          <UnitChoice {...part} units={known.units} />
        ) : (
          <>
            <TypedField
              {...part}
              name="other"
              label="its name"
              class="long"
              maxLength={96}
              placeholder="soil/moisture"
            />
            <TypedField {...part} name="unit" label="unit code" maxLength={40} placeholder="none" />
          </>
        )}
      </div>
      <FurtherFields {...part} />
      <button type="button" onClick={remove}>
        Leave this value out<span class="unseen"> {probeOf(value)}</span>
      </button>
    </li>
  );
}
