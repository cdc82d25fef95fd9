import { useState } from 'preact/hooks';
import { problemWords } from '../api.ts';
import { keepFocus } from '../common/keep-focus.ts';

/** The way back from what was just done. */
type Undo = { readonly words: string; readonly run: () => Promise<unknown> };

export type Edits = {
  readonly busy: boolean;
  readonly problem: string | null;
  readonly undo: Undo | null;
  /** does it; what it answers is the way back */
  run: (work: () => Promise<Undo | null>) => Promise<boolean>;
};

/** Gives one order at a time; the last one can be undone. */
export function useEdits(changed: () => void): Edits {
  const [state, setState] = useState<Omit<Edits, 'run'>>({ busy: false, problem: null, undo: null });
  const run = async (work: () => Promise<Undo | null>) => {
    const restoreFocus = keepFocus();
    setState((before) => ({ ...before, busy: true, problem: null }));
    try {
      const undo = await work();
      setState({ busy: false, problem: null, undo });
      changed();
      return true;
    } catch (thrown) {
      setState((before) => ({ ...before, busy: false, problem: problemWords(thrown) }));
      return false;
    } finally {
      restoreFocus();
    }
  };
  return { ...state, run };
}

/** What was done last, with its way back, and what could not be done. */
export function UndoLine({ edits }: { edits: Edits }) {
  const { undo, problem, busy, run } = edits;
  const takeBack = () => run(() => (undo?.run() ?? Promise.resolve()).then(() => null));
  return (
    <div role="status" class="undo" data-testid="undo">
      {problem && <p class="problem">{problem}</p>}
      {undo && (
        <p class="row">
          {undo.words}
          <button type="button" disabled={busy} onClick={() => void takeBack()}>
            Undo
          </button>
        </p>
      )}
    </div>
  );
}
