import { useId, useState } from 'preact/hooks';
import { WORDS } from './words.ts';

/** A free note. */
export function NoteForm({ busy, save }: { busy: boolean; save: (text: string) => Promise<void> }) {
  const id = useId();
  const [text, setText] = useState('');
  const [error, setError] = useState<string | null>(null);
  const submit = (event: Event) => {
    event.preventDefault();
    const note = text.trim();
    setError(note === '' ? WORDS.noNote : null);
    if (note !== '') void save(note);
  };
  return (
    <form class="note-form" noValidate onSubmit={submit}>
      <label for={id}>Note</label>
      <textarea
        id={id}
        name="diary-note"
        rows={3}
        maxLength={2_000}
        value={text}
        aria-invalid={error !== null}
        {...(error === null ? {} : { 'aria-describedby': `${id}-error` })}
        onInput={(event) => setText(event.currentTarget.value)}
      />
      {error && (
        <p class="problem" id={`${id}-error`}>
          {error}
        </p>
      )}
      <button type="submit" class="first" disabled={busy}>
        Save
      </button>
    </form>
  );
}
