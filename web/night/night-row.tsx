import { useId, useState } from 'preact/hooks';
import { stripOf } from '../../shared/night/strip.ts';
import type { NightRow } from '../../shared/wire/http.ts';
import { kindsWorthSaying, nightSentence, unseenMsOf } from '../../shared/words/night.ts';
import {
  answeredWords,
  doseWords,
  EXCURSION_NAMES,
  firstAction,
  limitWords,
  MARK_WORDS,
  markOf,
  peakWords,
  stepsOf,
  timeLeftWords,
} from '../../shared/words/night-row.ts';
import { duration } from '../../shared/words/plain.ts';
import { AlarmBlock } from '../alarms/alarm-block.tsx';
import { alarmsOfPlace } from '../bench/rank.ts';
import type { View } from '../common/plot.ts';
import { placeHref } from '../frame/route.ts';
import { known, nowMs, reader, timeZone } from '../state.ts';
import { ExcursionList } from './excursion-list.tsx';
import { nextStepOf } from './next-step.ts';
import { NightAxis, NightStrip } from './night-strip.tsx';
import { PlaceQuestions } from './questions.tsx';

type RowProps = {
  readonly row: NightRow;
  readonly view: View;
  readonly full: boolean;
  /** of the night just gone: what is active now is shown with it */
  readonly isToday: boolean;
};

/** The value furthest beyond its limit, and the dose beyond it; where nothing was read, for how long. */
function Figures({ row, view }: Pick<RowProps, 'row' | 'view'>) {
  const [worst] = kindsWorthSaying(row);
  const unseenMs = row.coverage === 0 ? view.toMs - view.fromMs : unseenMsOf(row, view);
  if (!worst) {
    return (
      <>
        <p class="peak unknown">{unseenMs > 0 && <b>not known</b>}</p>
        <p class="dose unknown">{unseenMs > 0 && <b>{duration(unseenMs)}</b>}</p>
      </>
    );
  }
  const { furthestOne, dose, kind } = worst;
  const side = EXCURSION_NAMES[kind].side ?? '';
  return (
    <>
      <p class={`peak ${side}`}>
        <b>{peakWords(furthestOne, reader.value)}</b> <span>{limitWords(furthestOne, reader.value)}</span>
      </p>
      <p class={`dose ${side}`}>
        <b>{doseWords({ dose, doseUnit: furthestOne.doseUnit }, reader.value)}</b>
      </p>
    </>
  );
}

/** What is to be done on paper: a box to tick, the time and who did it. */
function Ticks({ step }: { readonly step: string }) {
  return (
    <ul class="ticks" aria-hidden="true">
      {stepsOf(step).map((words) => (
        <li key={words}>
          <span class="box" />
          <span class="step">{words}</span>
          <span class="time">time</span>
          <span class="initials">initials</span>
        </li>
      ))}
    </ul>
  );
}

function Say({ row, view, isToday }: RowProps) {
  const alarms = isToday ? alarmsOfPlace(known.value.alarms, row.placeId, nowMs.value) : [];
  const step = nextStepOf(row, alarms);
  const left = timeLeftWords(row);
  const who = answeredWords(row);
  return (
    <div class="night-say">
      {step && (
        <p class="next">
          <i>Do next</i> <b class="whole">{step}</b>
          <b class="first">{firstAction(step)}.</b>
        </p>
      )}
      {step && <Ticks step={step} />}
      <p class="sentence">{nightSentence(row, view, { ...reader.value, nowMs: view.toMs })}</p>
      {(left || who) && <p class="night-who">{[left, who].filter(Boolean).join(' · ')}</p>}
    </div>
  );
}

/** What a row unfolds to: the strip at one scale, each excursion, what is active now, and the way to the place. */
function Unfolded({ row, view, isToday, id }: RowProps & { readonly id: string }) {
  const alarms = isToday ? alarmsOfPlace(known.value.alarms, row.placeId, nowMs.value) : [];
  return (
    <div class="unfolded" id={id}>
      <div class="strip">
        <NightAxis view={view} timeZone={timeZone.value} />
        <NightStrip strip={stripOf(row, view)} view={view} timeZone={timeZone.value} full />
      </div>
      <ExcursionList row={row} view={view} />
      <PlaceQuestions row={row} view={view} />
      {alarms.map((alarm) => (
        <AlarmBlock key={alarm.id} alarm={alarm} />
      ))}
      <p>
        <a class="open-place" href={placeHref(row.placeId)}>
          Open {row.name}
        </a>
      </p>
    </div>
  );
}

/** One place in the night: a line that unfolds, or in full where it is among the worst. */
export function NightRowView(props: RowProps) {
  const { row, view, full } = props;
  const [open, setOpen] = useState(false);
  const id = useId();
  const mark = markOf(row);
  return (
    <li
      class={`night-row ${mark}${full ? ' full' : ''}${open ? ' open' : full ? '' : ' line'}`}
      data-testid="night-row"
      data-place={row.placeId}
    >
      <h3>
        <button type="button" aria-expanded={open} aria-controls={id} onClick={() => setOpen(!open)}>
          {row.name}
        </button>
      </h3>
      <p class="tag">
        {MARK_WORDS[mark] && <strong>{MARK_WORDS[mark]}</strong>}
        {mark !== 'fine' && row.zone && <small> {row.zone}</small>}
      </p>
      <div class="strip">
        <NightStrip strip={stripOf(row, view)} view={view} timeZone={timeZone.value} full={full} />
      </div>
      <Figures row={row} view={view} />
      <Say {...props} />
      {open && <Unfolded {...props} id={id} />}
    </li>
  );
}
