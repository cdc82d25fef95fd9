import { useState } from 'preact/hooks';
import { SALT_NAMES, type SaltName } from '../../../shared/climate/salts.ts';
import type { CheckKind, NewCheck } from '../../../shared/model/probes/check.ts';
import type { ChecksAnswer } from '../../../shared/wire/probes/checks.ts';
import { call } from '../../api.ts';
import { ChoiceField, TextField } from '../../common/field.tsx';
import { celsiusTyped, numberOrTyped, typedTemperature } from '../../common/form.ts';
import { degreeSign } from '../../common/format.ts';
import { useOrder } from '../../common/hooks.ts';
import { unit } from '../../state.ts';
import type { Named } from '../named.ts';
import { KIND_WORDS } from './check-instructions.ts';

const USUAL: readonly SaltName[] = ['magnesium chloride', 'sodium chloride'];
const BY_HAND = 'by hand';

type StartProps = { readonly answer: ChecksAnswer; readonly named: Named; readonly changed: () => void };

/** Chooses a probe and how it is checked. */
export function CheckStart({ answer, named, changed }: StartProps) {
  const order = useOrder();
  const busy = new Set(answer.open.map(({ probeId }) => probeId));
  const checkable = answer.probes.filter(({ kinds, probeId }) => kinds.length > 0 && !busy.has(probeId));
  const [chosenId, setChosenId] = useState<number | null>(null);
  const truth = checkable.find(({ probeId }) => probeId === chosenId) ?? checkable[0];
  const [chosenKind, setChosenKind] = useState<CheckKind | null>(null);
  const [salts, setSalts] = useState<readonly SaltName[]>(USUAL);
  const [beside, setBeside] = useState<string | null>(null);
  const [jar, setJar] = useState<string | null>(null);
  const [jarTyped, setJarTyped] = useState(typedTemperature(20, unit.value));
  if (!truth) return null;
  const kind = chosenKind && truth.kinds.includes(chosenKind) ? chosenKind : (truth.kinds[0] ?? 'ice');
  const others = alike(truth.probeId, named);
  const thermometers = thermometersFor(truth.probeId, named);
  const besideId = Number(beside ?? others[0]?.value);
  const jarAt = jar ?? thermometers[0]?.value ?? BY_HAND;
  const typedC = celsiusTyped(jarTyped, unit.value, null);
  const check: NewCheck = {
    probeId: truth.probeId,
    kind,
    ...(kind === 'salts' ? { salts: [...salts] } : {}),
    ...(kind === 'beside' ? { besideProbeId: besideId } : {}),
    ...(kind !== 'salts' ? {} : jarAt === BY_HAND ? celsius(typedC) : { temperatureProbeId: Number(jarAt) }),
  };
  const submit = async (event: Event) => {
    event.preventDefault();
    if (await order.run(() => call('startCheck', { body: check }))) changed();
  };
  return (
    <details>
      <summary>Check a probe</summary>
      <form class="check-form" onSubmit={(event) => void submit(event)} data-testid="check-start" noValidate>
        <ChoiceField
          name="check-probe"
          label="probe"
          value={String(truth.probeId)}
          choices={checkable.map(({ probeId }) => ({ value: String(probeId), words: named.nameOf(probeId) }))}
          onChange={(value) => setChosenId(Number(value))}
        />
        <KindChoice kinds={truth.kinds} kind={kind} choose={setChosenKind} />
        {kind === 'salts' && (
          <SaltPart
            salts={salts}
            setSalts={setSalts}
            jarAt={jarAt}
            setJar={setJar}
            jarTyped={jarTyped}
            setJarTyped={setJarTyped}
            thermometers={thermometers}
          />
        )}
        {kind === 'beside' && <BesideChoice others={others} value={String(besideId)} choose={setBeside} />}
        <button
          type="submit"
          class="first"
          disabled={order.busy || (kind === 'beside' && others.length === 0)}
        >
          Begin this check
        </button>
        {order.problem && (
          <p class="problem" role="status">
            {order.problem}
          </p>
        )}
      </form>
    </details>
  );
}

type KindProps = {
  readonly kinds: readonly CheckKind[];
  readonly kind: CheckKind;
  readonly choose: (kind: CheckKind) => void;
};

function KindChoice({ kinds, kind, choose }: KindProps) {
  return (
    <fieldset class="kinds">
      <legend>how</legend>
      {kinds.map((one) => (
        <label key={one}>
          <input type="radio" name="check-kind" checked={one === kind} onChange={() => choose(one)} />
          {KIND_WORDS[one]}
        </label>
      ))}
    </fieldset>
  );
}

type BesideProps = {
  readonly others: readonly Choice[];
  readonly value: string;
  readonly choose: (probeId: string) => void;
};

function BesideChoice({ others, value, choose }: BesideProps) {
  if (others.length === 0) return <p class="problem">There is no other probe that measures the same.</p>;
  return <ChoiceField name="check-beside" label="beside" value={value} choices={others} onChange={choose} />;
}

type SaltPartProps = SaltProps & {
  readonly jarAt: string;
  readonly setJar: (probeId: string) => void;
  readonly jarTyped: string;
  readonly setJarTyped: (typed: string) => void;
  readonly thermometers: readonly Choice[];
};

function SaltPart({ salts, setSalts, jarAt, setJar, jarTyped, setJarTyped, thermometers }: SaltPartProps) {
  return (
    <>
      <SaltChoice salts={salts} setSalts={setSalts} />
      <ChoiceField
        name="check-jar"
        label="temperature of the jar"
        value={jarAt}
        choices={[...thermometers, { value: BY_HAND, words: 'read by hand' }]}
        onChange={setJar}
      />
      {jarAt === BY_HAND && (
        <TextField
          name="check-jar-temperature"
          label="the jar is at"
          value={jarTyped}
          unit={degreeSign(unit.value)}
          inputMode="decimal"
          error={
            typeof numberOrTyped(jarTyped) === 'number'
              ? undefined
              : `a temperature in ${degreeSign(unit.value)}`
          }
          onInput={setJarTyped}
        />
      )}
    </>
  );
}

function celsius(typed: unknown): { temperatureC?: number } {
  return typeof typed === 'number' ? { temperatureC: typed } : {};
}

type SaltProps = {
  readonly salts: readonly SaltName[];
  readonly setSalts: (salts: readonly SaltName[]) => void;
};

function SaltChoice({ salts, setSalts }: SaltProps) {
  const turn = (salt: SaltName) =>
    setSalts(salts.includes(salt) ? salts.filter((one) => one !== salt) : [...salts, salt]);
  return (
    <fieldset class="kinds">
      <legend>salts, from dry to wet; two give gain and shift, one a shift alone</legend>
      {SALT_NAMES.map((salt) => (
        <label key={salt}>
          <input
            type="checkbox"
            checked={salts.includes(salt)}
            disabled={salts.length === 1 && salts.includes(salt)}
            onChange={() => turn(salt)}
          />
          {salt}, {ABOUT[salt]} %RH
        </label>
      ))}
    </fieldset>
  );
}

/** About what each stands for at room temperature, %RH. */
const ABOUT: Readonly<Record<SaltName, number>> = {
  'lithium chloride': 11,
  'magnesium chloride': 33,
  'sodium chloride': 75,
  'potassium sulfate': 97,
};

type Choice = { readonly value: string; readonly words: string };

function measures(quantity: string | null): string | null {
  return quantity?.endsWith('/temperature') ? 'temperature' : quantity;
}

function alike(probeId: number, named: Named): Choice[] {
  const own = named.rows.find(({ id }) => id === probeId);
  return named.rows
    .filter(({ id, quantity }) => id !== probeId && own && measures(quantity) === measures(own.quantity))
    .map(({ id }) => ({ value: String(id), words: named.nameOf(id) }));
}

/** Thermometers, those of the same device first: a humidity chip has its own. */
function thermometersFor(probeId: number, named: Named): Choice[] {
  const own = named.rows.find(({ id }) => id === probeId);
  const rank = ({ device, quantity }: Named['rows'][number]) =>
    device === own?.device ? (quantity === 'air/temperature' ? 0 : 1) : 2;
  return named.rows
    .filter(({ quantity }) => measures(quantity) === 'temperature')
    .toSorted((a, b) => rank(a) - rank(b))
    .map(({ id }) => ({ value: String(id), words: named.nameOf(id) }));
}
