import type { Night, NightRow } from '../../shared/wire/http.ts';
import type { Statement } from '../../shared/words/morning/piece.ts';
import { type Answered, nightAnswers, placeAnswers } from '../../shared/words/morning/questions.ts';
import { Ask } from '../common/ask.tsx';
import type { View } from '../common/plot.ts';
import { batchHref } from '../frame/route.ts';
import { reader } from '../state.ts';

/** A sentence whose numbers say where they come from, here or on the page of their batch. */
function Sentence({ of }: { readonly of: Statement }) {
  return (
    <>
      {of.map((piece, i) => {
        if (typeof piece === 'string') return piece;
        if ('batchId' in piece)
          return (
            <a key={i} href={batchHref(piece.batchId)}>
              {piece.text}
            </a>
          );
        const { placeId, of: asked, fromMs, toMs } = piece.asked;
        return (
          <Ask key={i} placeId={placeId} of={asked} span={{ fromMs, toMs }}>
            {piece.text}
          </Ask>
        );
      })}
    </>
  );
}

function Answers({ all }: { readonly all: readonly Answered[] }) {
  return (
    <ol class="questions">
      {all.map(({ number, question, answers }) => (
        <li key={number} value={number}>
          <h3 class="question">{question}</h3>
          {answers.map((said, i) => (
            <p key={i}>
              <Sentence of={said} />
            </p>
          ))}
        </li>
      ))}
    </ol>
  );
}

/** The fifteen questions of a morning, answered of all places together. */
export function NightQuestions({ night, view }: { readonly night: Night; readonly view: View }) {
  const all = nightAnswers(night, { ...reader.value, nowMs: view.toMs });
  return (
    <section class="night-questions" data-testid="night-questions">
      <h2>Fifteen questions of a morning</h2>
      <Answers all={all} />
    </section>
  );
}

/** The same of one place. */
export function PlaceQuestions({ row, view }: { readonly row: NightRow; readonly view: View }) {
  const all = placeAnswers({ row, span: view, reader: { ...reader.value, nowMs: view.toMs } });
  return (
    <details class="place-questions">
      <summary>The questions of a morning, answered of {row.name}</summary>
      <Answers all={all} />
    </details>
  );
}
