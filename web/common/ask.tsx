import type { ComponentChildren } from 'preact';
import { useEffect, useLayoutEffect, useRef } from 'preact/hooks';
import type { Sentence } from '../record/span-words.ts';
import { question } from '../state.ts';
import type { View } from './plot.ts';
import { type Cell, movedTo } from './roving.ts';

type AskProps = {
  readonly placeId: string;
  readonly of: string;
  readonly span?: View | null;
  readonly about?: string;
  readonly children: ComponentChildren;
};

/** A number that says where it comes from when it is chosen. */
export function Ask({ placeId, of, span = null, about, children }: AskProps) {
  const asked = { placeId, of, span, ...(about === undefined ? {} : { about }) };
  return (
    <button
      type="button"
      class="ask"
      data-testid="explain"
      data-of={of}
      aria-haspopup="dialog"
      title="Where this number comes from"
      onClick={(event) => {
        // Safari gives a button that is clicked no focus, and the dialog returns it to what has it
        event.currentTarget.focus();
        question.value = asked;
      }}
    >
      {children}
    </button>
  );
}

type PiecesProps = {
  readonly placeId: string;
  readonly span: View;
  /** the answer in which the paths of the sentence lie */
  readonly answer?: 'exposures' | 'mist' | 'vents';
  readonly of: Sentence;
};

/** A sentence whose numbers can be asked about, and whose estimates carry the wavy line. */
export function Pieces({ placeId, span, answer = 'exposures', of }: PiecesProps) {
  return (
    <>
      {of.map((piece, i) => {
        if (typeof piece === 'string') return piece;
        const text = piece.estimated ? <span class="estimate">{piece.text}</span> : piece.text;
        if (piece.path === undefined) return <span key={i}>{text}</span>;
        return (
          <Ask key={i} placeId={placeId} of={`${answer}.${piece.path}`} span={span}>
            {text}
          </Ask>
        );
      })}
    </>
  );
}

function cellOf(button: HTMLElement): Cell {
  const cell = button.closest<HTMLTableCellElement>('td, th');
  const row = button.closest('tr');
  return { row: row?.rowIndex ?? 0, column: cell?.cellIndex ?? 0 };
}

/** A table of numbers to ask about is one stop of the Tab key; arrow keys lead from number to number. */
export function AskTable({ children }: { children: ComponentChildren }) {
  const box = useRef<HTMLDivElement>(null);
  const current = useRef<HTMLButtonElement | null>(null);
  const buttons = () => [...(box.current?.querySelectorAll<HTMLButtonElement>('button.ask') ?? [])];
  const settle = () => {
    const all = buttons();
    const stop = all.find((button) => button === current.current) ?? all[0];
    for (const button of all) button.tabIndex = button === stop ? 0 : -1;
  };
  useLayoutEffect(settle);
  useEffect(() => {
    const move = (event: KeyboardEvent) => {
      const all = buttons();
      const from = all.findIndex((button) => button.matches(':focus'));
      const to = movedTo(all.map(cellOf), from, event.key);
      if (to === null) return;
      event.preventDefault();
      all[to]?.focus();
    };
    const note = ({ target }: FocusEvent) => {
      if (!(target instanceof HTMLButtonElement)) return;
      current.current = target;
      settle();
    };
    box.current?.addEventListener('keydown', move);
    box.current?.addEventListener('focusin', note);
  }, []);
  return (
    <div ref={box} class="ask-table">
      {children}
    </div>
  );
}
