import type { ComponentChildren } from 'preact';
import type { Exposures, MistAnswer, PlaceSummary, WetHours } from '../../shared/wire/http.ts';
import { call, spanQuery } from '../api.ts';
import { Ask, AskTable, Pieces } from '../common/ask.tsx';
import { hoursText } from '../common/format.ts';
import { useLoaded } from '../common/hooks.ts';
import type { View } from '../common/plot.ts';
import { diaryRound } from '../diary/diary-api.ts';
import { nowMs, reader, secondMs, unit } from '../state.ts';
import { filmWords, mistWords } from './mist-words.ts';
import { spanOf } from './span-table.tsx';
import {
  condensationWords,
  leafVpdWords,
  needsWords,
  rootMinusAirWords,
  type Sentence,
  type SpanPart,
  wetHoursWords,
} from './span-words.ts';
import { VentsPart } from './vents.tsx';

const RENEW_MS = 60_000;
const NEARLY_NOW_MS = 900_000;

/** A span that reached the present when it was asked for still does: a vent logged since belongs to it. */
function upToNow(span: View, presentMs: number): View {
  return presentMs - span.toMs < NEARLY_NOW_MS
    ? { ...span, toMs: Math.max(span.toMs, presentMs + 1000) }
    : span;
}

function Part({ name, soil, children }: { name: string; soil?: boolean; children: ComponentChildren }) {
  return (
    <section class={`span-part${soil ? ' soil' : ''}`}>
      <h3>{name}</h3>
      <div>{children}</div>
    </section>
  );
}

function WetTable({ exposures }: { exposures: Exposures }) {
  const wetHours = (row: number, field: 'hours' | 'longestHours') => {
    const { name, coveredHours, [field]: hours } = exposures.wetHours[row] as WetHours;
    if (coveredHours === 0) return '–';
    const of = `exposures.wetHours.${row}.${field}`;
    return (
      <Ask placeId={exposures.placeId} of={of} span={spanOf(exposures)} about={name}>
        {hoursText(hours)}
      </Ask>
    );
  };
  return (
    <AskTable>
      <table class="wet-hours stacks">
        <thead>
          <tr>
            <th scope="col">published condition</th>
            <th scope="col">hours</th>
            <th scope="col">longest without a break</th>
            <th scope="col">source</th>
          </tr>
        </thead>
        <tbody>
          {exposures.wetHours.map((row, i) => (
            <tr key={row.condition}>
              <th scope="row">{row.name}</th>
              <td data-label="hours">{wetHours(i, 'hours')}</td>
              <td data-label="longest">{wetHours(i, 'longestHours')}</td>
              <td class="quiet">{row.source}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </AskTable>
  );
}

type SaidProps = { readonly name: string; readonly exposures: Exposures; readonly words: Sentence | null };

function MessageText({ name, exposures, words, soil = false }: SaidProps & { soil?: boolean }) {
  if (!words) return null;
  return (
    <Part name={name} soil={soil}>
      <p>
        <Pieces placeId={exposures.placeId} span={spanOf(exposures)} of={words} />
      </p>
    </Part>
  );
}

/** The film is that of the present air, whatever the span. */
function MistPart({ mist, words }: { mist: MistAnswer; words: Sentence | null }) {
  if (!words && !mist.film) return null;
  const wetHours = { placeId: mist.placeId, span: spanOf(mist), answer: 'mist' } as const;
  return (
    <Part name="mist">
      {words && (
        <p>
          <Pieces {...wetHours} of={words} />
        </p>
      )}
      {mist.film && (
        <p>
          <Pieces {...wetHours} of={filmWords(mist.film)} />
        </p>
      )}
    </Part>
  );
}

/** Mist, vents, leaf, dew and wet hours of a span in sentences, in the order of the section. */
export function SpanSection({ place, exposures }: { place: PlaceSummary; exposures: Exposures }) {
  const span = spanOf(exposures);
  const key = `${place.id} ${exposures.from} ${exposures.to} ${JSON.stringify(place.settings)}`;
  const round = Math.floor(nowMs.value / RENEW_MS);
  const params = { id: place.id };
  const mist = useLoaded(`${key} ${round}`, () => call('getMist', { params, query: spanQuery(span) }));
  const vents = useLoaded(`${key} ${diaryRound.value}`, () =>
    call('listVents', { params, query: spanQuery(upToNow(span, secondMs.peek())) }),
  );
  const said = {
    condensation: condensationWords(exposures.condensation, unit.value),
    wetHours: wetHoursWords(exposures.wetHours),
    leaf: leafVpdWords(exposures, unit.value),
    rootMinusAir: rootMinusAirWords(exposures.rootMinusAir, unit.value),
    mist: mist.value && mistWords(mist.value, reader.value),
  };
  const missing = (['condensation', 'wetHours', 'mist', 'leaf', 'rootMinusAir'] as const)
    .filter((part) => said[part] === null && (part !== 'mist' || mist.value))
    .concat();
  const parts: SpanPart[] = exposures.light.coveredHours === 0 ? ['light', ...missing] : [...missing];
  const needs = needsWords(parts);
  return (
    <section class="span-section">
      <h2>The span in words</h2>
      <div class="section-box">
        <Part name="vents">
          <VentsPart placeId={place.id} loaded={vents} />
        </Part>
        <MessageText name="dew" exposures={exposures} words={said.condensation} />
        {said.wetHours && (
          <Part name="wet hours">
            <p>
              <Pieces placeId={place.id} span={span} of={said.wetHours} />
            </p>
            <WetTable exposures={exposures} />
          </Part>
        )}
        {mist.value && <MistPart mist={mist.value} words={said.mist} />}
        <MessageText name="leaf" exposures={exposures} words={said.leaf} />
        <MessageText name="root zone and air" exposures={exposures} words={said.rootMinusAir} soil />
      </div>
      {mist.problem && <p class="problem">The mist cannot be loaded now: {mist.problem}</p>}
      {needs && <p class="quiet">{needs}</p>}
    </section>
  );
}
