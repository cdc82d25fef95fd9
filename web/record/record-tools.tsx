import { useState } from 'preact/hooks';
import type { View } from '../common/plot.ts';
import { nowMs, say } from '../state.ts';
import { keyed } from './zoom.ts';

const STEPS = [
  { key: 'ArrowLeft', sign: '‹', name: 'Earlier' },
  { key: '+', sign: '+', name: 'Closer' },
  { key: '-', sign: '−', name: 'Wider' },
  { key: 'ArrowRight', sign: '›', name: 'Later' },
] as const;

type StepsProps = { readonly view: View; readonly show: (view: View) => void };

/** Buttons that move the view and change its length; while one has the focus, arrows, plus, minus and End do too. */
export function ViewSteps({ view, show }: StepsProps) {
  /** @returns whether the key meant the view */
  const press = (key: string): boolean => {
    const next = keyed(view, { key, nowMs: nowMs.peek() });
    if (next) show(next);
    return next !== null;
  };
  return (
    <span class="view-steps">
      {STEPS.map(({ key, sign, name }) => (
        <button
          key={key}
          type="button"
          aria-label={name}
          title={name}
          aria-keyshortcuts="ArrowLeft ArrowRight + - End"
          onClick={() => press(key)}
          onKeyDown={(event) => {
            if (press(event.key)) event.preventDefault();
          }}
        >
          {sign}
        </button>
      ))}
    </span>
  );
}

type CopiesProps = {
  /** the table of the view with tabs between its columns, as a spreadsheet takes it */
  readonly text: () => string;
  /** the chart as it is drawn */
  readonly picture: () => Promise<Blob | null>;
  readonly fileName: string;
};

/** The view copied as a table, and the chart saved as a picture. */
export function CopyTools({ text, picture, fileName }: CopiesProps) {
  const [problem, setProblem] = useState<string | null>(null);
  const copy = async () => {
    try {
      await navigator.clipboard.writeText(text());
      setProblem(null);
      say('Copied as a table.');
    } catch {
      setProblem('The browser does not allow copying here: use the file of readings (CSV).');
    }
  };
  const save = async () => {
    const blob = await picture();
    if (!blob) {
      setProblem('There is no drawing to save yet.');
      return;
    }
    setProblem(null);
    const link = document.createElement('a');
    link.href = URL.createObjectURL(blob);
    link.download = fileName;
    link.click();
    URL.revokeObjectURL(link.href);
  };
  return (
    <p class="copies">
      <button type="button" onClick={() => void copy()}>
        Copy as a table
      </button>{' '}
      <button type="button" onClick={() => void save()}>
        Download the drawing (PNG)
      </button>
      {problem && (
        <span class="problem" role="status">
          {' '}
          {problem}
        </span>
      )}
    </p>
  );
}
