import { useId, useState } from 'preact/hooks';
import type { PlaceSummary } from '../../../shared/wire/http.ts';
import { asSentence } from '../../../shared/words/plain.ts';
import { AlarmAnswer } from '../../alarms/alarm-answer.tsx';
import { degreeSign, temperatureText, vpdText } from '../../common/format.ts';
import { alarms, nowMs, reader } from '../../state.ts';
import { PlaceCard, WorstLayer, weightOf } from '../place-card.tsx';
import { alarmsOfPlace, isTroubled } from '../rank.ts';
import { clauseOf } from '../top-line.ts';
import type { Layer } from '../trace.ts';
import { LAYER_SERIES } from '../traces.ts';
import type { CardSize } from './sizes.ts';

const LAYERS: readonly (readonly [Layer, string])[] = [
  ['air', 'air'],
  ['vpd', 'leaf'],
  ['rootZone', 'root zone'],
];

function Figure({ place, layer, name }: { place: PlaceSummary; layer: Layer; name: string }) {
  const now = place.now.quantities[LAYER_SERIES[layer]];
  const { unit } = reader.value;
  const isOld = now?.state === 'stale';
  const side =
    now?.state === 'below' ? 'below' : now?.state === 'above' || now?.state === 'over-ceiling' ? 'above' : '';
  const text = !now || isOld ? '–' : layer === 'vpd' ? vpdText(now.value) : temperatureText(now.value, unit);
  return (
    <span class={`figure ${side}`}>
      <span class="unseen">{name} </span>
      {text}
      {text !== '–' && <small> {layer === 'vpd' ? 'kPa' : degreeSign(unit)}</small>}
    </span>
  );
}

/** What is said of a place in a line: what is the matter, else that it is in band. */
function lineWords(place: PlaceSummary): string {
  const outlook = { alarms: alarms.value, nowMs: nowMs.value };
  return isTroubled(place, outlook) ? clauseOf(place, outlook, reader.value) : 'in band';
}

/** A place among many: a line, or a card with what to do, that unfolds to the whole section. */
export function BenchLine({ place, size }: { place: PlaceSummary; size: Exclude<CardSize, 'full'> }) {
  const [open, setOpen] = useState(false);
  const id = useId();
  const own = alarmsOfPlace(alarms.value, place.id, nowMs.value);
  const [alarm] = own;
  return (
    <li
      class={`bench-line ${size} ${weightOf(own, place)}${open ? ' open' : ''}`}
      data-testid="bench-line"
      data-place={place.id}
    >
      <div class="bench-row">
        <h2>
          <button type="button" aria-expanded={open} aria-controls={id} onClick={() => setOpen(!open)}>
            {place.name}
          </button>
        </h2>
        <p class="figures">
          {LAYERS.map(([layer, name]) => (
            <Figure key={layer} place={place} layer={layer} name={name} />
          ))}
        </p>
        <p class="clause">{asSentence(lineWords(place))}</p>
        {size === 'brief' && alarm && !open && <AlarmAnswer alarm={alarm} />}
      </div>
      {size === 'brief' && !open && <WorstLayer place={place} />}
      {open && (
        <div id={id}>
          <PlaceCard place={place} />
        </div>
      )}
    </li>
  );
}
