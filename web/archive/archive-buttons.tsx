import { useEffect, useRef, useState } from 'preact/hooks';
import { useLoaded, useOrder } from '../common/hooks.ts';
import { Problem } from '../common/password-field.tsx';
import { reader, say } from '../state.ts';
import { type ArchiveTarget, contentsWords, orderWords } from './lifecycle.ts';
import { archive, contentsOf, remove } from './lifecycle-api.ts';

type ButtonsProps = {
  readonly target: ArchiveTarget;
  readonly name: string;
  /** called once it is in the archive */
  readonly gone: () => void;
};

type Confirmation = 'archive' | 'delete' | null;

/** Archive and Delete, each with a question that names what goes. */
export function ArchiveButtons({ target, name, gone }: ButtonsProps) {
  const [asked, setAsked] = useState<Confirmation>(null);
  const buttons = useRef<HTMLSpanElement>(null);
  const was = useRef(asked);
  useEffect(() => {
    // who works by keyboard goes on where they were
    if (asked === null && was.current !== null)
      buttons.current?.querySelectorAll('button')[was.current === 'archive' ? 0 : 1]?.focus();
    was.current = asked;
  }, [asked]);
  if (asked !== null)
    return (
      <Question
        target={target}
        name={name}
        deletes={asked === 'delete'}
        gone={gone}
        cancel={() => setAsked(null)}
      />
    );
  return (
    <span class="row" ref={buttons}>
      <button type="button" aria-label={`Archive ${name}`} onClick={() => setAsked('archive')}>
        Archive…
      </button>
      <button type="button" aria-label={`Delete ${name}`} onClick={() => setAsked('delete')}>
        Delete…
      </button>
    </span>
  );
}

type QuestionProps = ButtonsProps & { readonly deletes: boolean; readonly cancel: () => void };

function Question({ target, name, deletes, gone, cancel }: QuestionProps) {
  const { value, problem, loading } = useLoaded(`contents ${target.kind} ${target.id}`, () =>
    contentsOf(target),
  );
  const order = useOrder();
  const leave = useRef<HTMLButtonElement>(null);
  useEffect(() => leave.current?.focus(), []);
  const verb = deletes ? 'Delete' : 'Archive';
  const run = async () => {
    const work = () => (deletes ? remove(target) : archive(target));
    if (!(await order.run(work))) return;
    say(`${name} ${deletes ? 'deleted' : 'archived'}. Restore it under Archived.`);
    gone();
  };
  return (
    <fieldset class="confirm" data-testid="archive-question">
      <legend class="unseen">
        {verb} {name}
      </legend>
      <p>
        <b>
          {verb} {name}?
        </b>{' '}
        {orderWords(deletes)}
      </p>
      {loading && !value && <p class="waiting">Loading what goes with it…</p>}
      {problem && <p class="problem">What goes with it cannot be listed: {problem}</p>}
      {value && <p>With it: {contentsWords(value, reader.value).join('; ')}.</p>}
      <span class="row">
        <button type="button" class="first" disabled={order.busy || !value} onClick={() => void run()}>
          {verb}
        </button>
        <button type="button" ref={leave} onClick={cancel}>
          Cancel
        </button>
      </span>
      <Problem words={order.problem} />
    </fieldset>
  );
}
