import { useState } from 'preact/hooks';
import type { PlaceSummary } from '../../shared/wire/http.ts';
import type { MistAdvice } from '../../shared/wire/places/advice.ts';
import { call, spanQuery } from '../api.ts';
import { fixed } from '../common/format.ts';
import { useLoaded } from '../common/hooks.ts';
import { Scrolling } from '../common/keys/scrolling.tsx';
import { nowMs, reader } from '../state.ts';
import { heatSentence, helpedSentence, mistSentence, TIMER_NAMES } from './words.ts';

const DAY_MS = 86_400_000;
const DAYS = 7;
/** It is asked again so often, ms. */
const RENEW_MS = 15 * 60_000;
const SHADES = [30, 50, 70] as const;

/** What the record of a place advises: mist, shade, heat. Nothing is switched by it. */
export function Advice({ place }: { readonly place: PlaceSummary }) {
  const [open, setOpen] = useState(false);
  return (
    <section class="picture advice" data-testid="advice">
      <h2>Advice</h2>
      <details onToggle={(event) => setOpen(event.currentTarget.open)}>
        <summary>How often to mist, what would have helped yesterday, what heat cost</summary>
        {open && (
          <>
            <p class="quiet">Estimates from the record of this place. Strikewell switches nothing.</p>
            <Mist placeId={place.id} />
            <Helped placeId={place.id} />
            <Heat placeId={place.id} />
          </>
        )}
      </details>
    </section>
  );
}

function Mist({ placeId }: { readonly placeId: string }) {
  const { value, problem } = useLoaded(`mist advice ${placeId} ${round()}`, () =>
    call('getMistAdvice', { params: { id: placeId }, query: { days: DAYS } }),
  );
  return (
    <section>
      <h3>How often to mist</h3>
      <Said sentence={value && mistSentence(value)} problem={problem} />
      {value && value.timers.length > 0 && <Timers advice={value} />}
    </section>
  );
}

function Timers({ advice }: { readonly advice: MistAdvice }) {
  return (
    <details>
      <summary>What each timer would have done in the last {DAYS} days, and what is assumed</summary>
      <Scrolling name="Timers on the record of this place">
        <table class="light">
          <thead>
            <tr>
              <th scope="col">timer</th>
              <th scope="col">pulses</th>
              <th scope="col">water, L/m²</th>
              <th scope="col">dry in light, min</th>
              <th scope="col">wet in saturated air, h</th>
            </tr>
          </thead>
          <tbody>
            {advice.timers.map((one) => (
              <tr key={one.timer}>
                <th scope="row">{TIMER_NAMES[one.timer]}</th>
                <td>{one.pulses}</td>
                <td>{fixed(one.waterLM2, 1)}</td>
                <td>{fixed(one.dryMinutes, 0)}</td>
                <td>{fixed(one.saturatedHours, 1)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </Scrolling>
      <ul>
        {advice.assumptions.map((words) => (
          <li key={words}>{words}</li>
        ))}
      </ul>
    </details>
  );
}

function Helped({ placeId }: { readonly placeId: string }) {
  const [through, setThrough] = useState<number>(50);
  const key = `${placeId} ${through} ${round()}`;
  const ask = (what: 'shade' | 'vent') =>
    call('getWouldHaveHelped', {
      params: { id: placeId },
      query: { what, transmission: String(through / 100) },
    });
  const shade = useLoaded(`shade ${key}`, () => ask('shade'));
  const vent = useLoaded(`vent ${key}`, () => ask('vent'));
  return (
    <section>
      <h3>What would have helped yesterday</h3>
      <label>
        light let through by the shade{' '}
        <select value={through} onChange={(event) => setThrough(Number(event.currentTarget.value))}>
          {SHADES.map((pct) => (
            <option key={pct} value={pct}>
              {pct} %
            </option>
          ))}
        </select>
      </label>
      <Said sentence={shade.value && helpedSentence(shade.value, reader.value)} problem={shade.problem} />
      <Said sentence={vent.value && helpedSentence(vent.value, reader.value)} problem={vent.problem} />
    </section>
  );
}

function Heat({ placeId }: { readonly placeId: string }) {
  const [watts, setWatts] = useState('');
  const rated = Number(watts) > 0 ? { ratedW: watts } : {};
  const { value, problem } = useLoaded(`heat ${placeId} ${watts} ${round()}`, () => {
    const toMs = nowMs.peek();
    const query = { ...spanQuery({ fromMs: toMs - DAYS * DAY_MS, toMs }), ...rated };
    return call('getHeatPaid', { params: { id: placeId }, query });
  });
  return (
    <section>
      <h3>Heat paid for, last {DAYS} days</h3>
      {value && value.how !== 'measured' && value.reason !== 'no-root-zone' && (
        <label>
          watts of the mat{' '}
          <input
            type="number"
            min="1"
            max="100000"
            value={watts}
            onChange={(event) => setWatts(event.currentTarget.value)}
          />
        </label>
      )}
      <Said sentence={value && heatSentence(value)} problem={problem} />
    </section>
  );
}

function Said({ sentence, problem }: { readonly sentence: string | null; readonly problem: string | null }) {
  if (problem) return <p class="problem">It cannot be counted now: {problem}</p>;
  return sentence === null ? <p class="waiting">Counting…</p> : <p>{sentence}</p>;
}

function round(): number {
  return Math.floor(nowMs.value / RENEW_MS);
}
