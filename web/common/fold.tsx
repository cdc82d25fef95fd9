import type { ComponentChildren } from 'preact';
import { useState } from 'preact/hooks';
import { FOLDS_KEY, foldsOf } from './folds.ts';

type FoldProps = { readonly id: string; readonly title: string; readonly children: ComponentChildren };

const kept = () => foldsOf(localStorage.getItem(FOLDS_KEY));

/** A section that folds, and stays as it was left, in this browser and on every page of its kind. */
export function Fold({ id, title, children }: FoldProps) {
  const [open, setOpen] = useState(() => !kept().includes(id));
  const toggled = (isOpen: boolean) => {
    if (isOpen === open) return;
    setOpen(isOpen);
    const others = kept().filter((one) => one !== id);
    try {
      localStorage.setItem(FOLDS_KEY, JSON.stringify(isOpen ? others : [...others, id]));
    } catch {
      // a full or forbidden store costs the fold of the next visit
    }
  };
  return (
    <details
      class="fold"
      data-testid={`fold-${id}`}
      open={open}
      onToggle={(event) => toggled(event.currentTarget.open)}
    >
      <summary>
        <h2>{title}</h2>
      </summary>
      {open && children}
    </details>
  );
}
