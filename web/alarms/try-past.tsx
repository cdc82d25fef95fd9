import { useEffect, useId, useState } from 'preact/hooks';
import { LIMIT_RULE_DEFINITIONS, LIMIT_RULES } from '../../shared/rules/rules.ts';
import type { PastAnswer, TriableRule } from '../../shared/wire/alarms/past.ts';
import type { Trial } from '../../shared/wire/alarms/trial.ts';
import type { PlaceSummary } from '../../shared/wire/http.ts';
import { call, spanQuery } from '../api.ts';
import { DAY_MS } from '../bench/traces.ts';
import { ChoiceField } from '../common/field.tsx';
import { useLoaded, useOrder } from '../common/hooks.ts';
import { IfMay } from '../common/if-may.tsx';
import { Scrolling } from '../common/keys/scrolling.tsx';
import { momentWords } from '../common/time.ts';
import { nowMs, reader, say } from '../state.ts';
import { harmText, lastedText, limitText, ownDelayMin, ownLimit, pastLine } from './past-words.ts';

const SPANS = [
  { value: '7', words: 'the last 7 days' },
  { value: '30', words: 'the last 30 days' },
  { value: '90', words: 'the last 90 days' },
];
/** While a slider is dragged, the past is asked this seldom, ms. */
const SETTLED_MS = 120;
const MOST_LISTED = 12;
const RENEW_MS = 600_000;

function useSettled<T>(value: T): T {
  const [settled, setSettled] = useState(value);
  useEffect(() => {
    const timer = setTimeout(() => setSettled(value), SETTLED_MS);
    return () => clearTimeout(timer);
  }, [value]);
  return settled;
}

type SliderProps = {
  readonly label: string;
  readonly value: number;
  readonly range: { readonly min: number; readonly max: number; readonly step: number };
  readonly words: string;
  readonly set: (value: number) => void;
};

function Slider({ label, value, range, words, set }: SliderProps) {
  const id = useId();
  return (
    <div class="slider">
      <label for={id}>{label}</label>
      <input
        id={id}
        type="range"
        {...range}
        value={value}
        aria-valuetext={words}
        onInput={(event) => set(Number(event.currentTarget.value))}
      />
      <output for={id}>{words}</output>
    </div>
  );
}

function Alarms({ answer }: { answer: PastAnswer }) {
  const newest = answer.alarms.slice(-MOST_LISTED).toReversed();
  if (newest.length === 0) return null;
  return (
    <table class="counted">
      <thead>
        <tr>
          <th scope="col">raised</th>
          <th scope="col">lasted</th>
          <th scope="col">worst</th>
          <th scope="col">before it</th>
          <th scope="col">after it</th>
        </tr>
      </thead>
      <tbody>
        {newest.map((alarm) => (
          <tr key={alarm.raised}>
            <td>{momentWords({ atMs: Date.parse(alarm.raised), ...reader.value })}</td>
            <td>{lastedText(alarm, reader.value)}</td>
            <td>{limitText(answer.rule, alarm.worst, reader.value)}</td>
            <td>{harmText(answer.rule, alarm.harmBefore, reader.value)}</td>
            <td>{harmText(answer.rule, alarm.harmAfter, reader.value)}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

type TrialQuestion = { readonly place: PlaceSummary; readonly rule: TriableRule; readonly days: number };

function Outcome({ title, trial, asked }: { title: string; trial: Trial; asked: TrialQuestion }) {
  const { place, rule, days } = asked;
  const round = Math.floor(nowMs.value / RENEW_MS);
  const key = JSON.stringify([place.id, rule, days, trial, round, place.settings, place.targets]);
  const { value, problem, loading } = useLoaded(key, () => {
    // the same span while a slider is dragged: the daemon has it at hand
    const toMs = (round + 1) * RENEW_MS;
    const span = spanQuery({ fromMs: toMs - days * DAY_MS, toMs });
    return call('tryRuleOnPast', { params: { id: place.id }, query: { rule, ...span, ...trial } });
  });
  return (
    <div class="outcome" aria-busy={loading}>
      <h3>{title}</h3>
      {problem && <p class="problem">The past cannot be asked: {problem}</p>}
      {!value && loading && <p class="waiting">Going through the record…</p>}
      {value && (
        <>
          <p role="status">{pastLine(value, reader.value)}</p>
          <Scrolling name="Alarms there would have been">
            <Alarms answer={value} />
          </Scrolling>
        </>
      )}
    </div>
  );
}

/** The limit and the delay of a rule, tried on the stored record beside what the place has. */
export function TryPast({ place }: { place: PlaceSummary }) {
  const [rule, setRule] = useState<TriableRule>('air-over-ceiling');
  const [days, setDays] = useState('30');
  const [limit, setLimit] = useState(ownLimit(rule, place));
  const [delayMin, setDelayMin] = useState(ownDelayMin(rule, place));
  const order = useOrder();
  const tried = useSettled(JSON.stringify({ limit, onDelayMin: delayMin }));
  const choose = (name: string) => {
    const next = LIMIT_RULES.find((one) => one === name) ?? 'air-over-ceiling';
    setRule(next);
    setLimit(ownLimit(next, place));
    setDelayMin(ownDelayMin(next, place));
  };
  const keepDelay = async () => {
    const alarms = {
      ...place.settings.alarms,
      [rule]: { ...place.settings.alarms[rule], onDelayMs: delayMin * 60_000 },
    };
    if (
      await order.run(() => call('changePlace', { params: { id: place.id }, body: { settings: { alarms } } }))
    )
      say(`${place.name}: “${LIMIT_RULE_DEFINITIONS[rule].name}” now waits ${delayMin} min.`);
  };
  const asked = { place, rule, days: Number(days) };
  const choices = LIMIT_RULES.map((value) => ({ value, words: LIMIT_RULE_DEFINITIONS[value].name }));
  return (
    <details class="try-past">
      <summary>Try an alarm on the past</summary>
      <p>
        The same rules that watch now, run over the record: which alarms they would have raised, and how much
        harm came before and after each.
      </p>
      <ChoiceField name="rule" label="Alarm" value={rule} choices={choices} onChange={choose} />
      <ChoiceField name="span" label="Over" value={days} choices={SPANS} onChange={setDays} />
      <Slider
        label="Limit to try"
        value={limit}
        range={LIMIT_RULE_DEFINITIONS[rule].range}
        words={limitText(rule, limit, reader.value)}
        set={setLimit}
      />
      <Slider
        label="Delay to test"
        value={delayMin}
        range={{ min: 0, max: 240, step: 1 }}
        words={`${delayMin} min`}
        set={setDelayMin}
      />
      <div class="side-by-side">
        <Outcome title="As the place has it" trial={{}} asked={asked} />
        <Outcome title="As tried" trial={JSON.parse(tried) as Trial} asked={asked} />
      </div>
      <IfMay route="changePlace">
        <p>
          <button type="button" disabled={order.busy} onClick={() => void keepDelay()}>
            Use this delay
          </button>{' '}
          <span class="hint">A limit is kept under Targets.</span>
        </p>
      </IfMay>
      {order.problem && <p class="problem">{order.problem}</p>}
    </details>
  );
}
