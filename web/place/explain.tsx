import { useEffect, useId, useRef } from 'preact/hooks';
import { layWords } from '../../shared/words/lay.ts';
import { call, spanQuery } from '../api.ts';
import { useLoaded } from '../common/hooks.ts';
import { momentWords } from '../common/time.ts';
import { known, question, reader } from '../state.ts';
import { type ExplainedView, explainedView, type Question } from './explained.ts';

function Inputs({ rows }: { rows: ExplainedView['rows'] }) {
  return (
    <>
      {rows.map((row, i) => (
        <div class="made-of" key={i}>
          <span>{row.name}</span> <b>{row.value}</b>
          {(row.probe || row.when) && (
            <small>
              {row.probe && <span class="breakable">{row.probe}</span>}
              {row.probe && row.when && ' · '}
              {row.when}
            </small>
          )}
        </div>
      ))}
    </>
  );
}

function Facts({ view }: { view: ExplainedView }) {
  return (
    <dl class="facts">
      <dt>formula</dt>
      <dd class="formula">{view.formula}</dd>
      {view.rows.length > 0 && (
        <>
          <dt>made from</dt>
          <dd>
            <Inputs rows={view.rows} />
          </dd>
        </>
      )}
      {view.coverage && (
        <>
          <dt>on record</dt>
          <dd>{view.coverage}</dd>
        </>
      )}
      {view.error && (
        <>
          <dt>error range</dt>
          <dd>{view.error}</dd>
        </>
      )}
      {view.assumptions.length > 0 && (
        <>
          <dt>assumed</dt>
          <dd>
            {view.assumptions.map((text) => (
              <p key={text}>{text}</p>
            ))}
          </dd>
        </>
      )}
      <dt>source</dt>
      <dd>
        <b>[{view.source.key}]</b> {view.source.text}
      </dd>
    </dl>
  );
}

function contextWords({ placeId, span, about }: Question, group: string | null): string {
  const place = known.value.places.find(({ id }) => id === placeId)?.name ?? placeId;
  const words = (atMs: number) => momentWords({ atMs, ...reader.value });
  const when = span === null ? 'now' : `${words(span.fromMs)} to ${words(span.toMs)}`;
  return [place, group, about, when].filter(Boolean).join(' · ');
}

function Answer({ asked, titleId }: { asked: Question; titleId: string }) {
  const { placeId, of, span } = asked;
  const key = `${placeId} ${of} ${span?.fromMs} ${span?.toMs}`;
  const { value, problem, loading } = useLoaded(key, () =>
    call('explainNumber', { params: { id: placeId }, query: { of, ...(span ? spanQuery(span) : {}) } }),
  );
  const view = value && explainedView(value, reader.value);
  return (
    <>
      <h2 id={titleId}>{view ? view.name : 'Where this number comes from'}</h2>
      <p class="quiet">{contextWords(asked, view?.group ?? null)}</p>
      <div aria-live="polite">
        {loading && <p class="quiet">Loading…</p>}
        {problem && <p class="problem">It cannot be loaded now: {problem}</p>}
      </div>
      {view && (
        <>
          <p class="explained-value">{view.value}</p>
          {layWords(of) && <p class="say">{layWords(of)}</p>}
          <Facts view={view} />
        </>
      )}
    </>
  );
}

/** What a number is made from, over the page; Esc, the button or a click beside it closes it. */
export function ExplainDialog() {
  const dialog = useRef<HTMLDialogElement>(null);
  const titleId = useId();
  const asked = question.value;
  useEffect(() => {
    if (asked && !dialog.current?.open) dialog.current?.showModal();
    if (!asked) dialog.current?.close();
  }, [asked]);
  const close = () => {
    question.value = null;
  };
  useEffect(() => {
    // Esc and the button close it too; a click on the dialog itself is one beside its box
    const closeBeside = (event: MouseEvent) => {
      if (event.target === dialog.current) close();
    };
    dialog.current?.addEventListener('click', closeBeside);
    return () => dialog.current?.removeEventListener('click', closeBeside);
  }, []);
  return (
    <dialog
      ref={dialog}
      class="explain"
      data-testid="explain-dialog"
      aria-labelledby={asked ? titleId : undefined}
      onClose={close}
    >
      <div class="explain-box">
        {asked && <Answer asked={asked} titleId={titleId} />}
        <button type="button" onClick={close}>
          Close
        </button>
      </div>
    </dialog>
  );
}
