import { useId } from 'preact/hooks';
import { MAX_PASSWORD_CHARACTERS, MIN_PASSWORD_CHARACTERS } from '../../shared/model/roles.ts';

type PasswordProps = {
  readonly label: string;
  readonly value: string;
  /** whether it is one to be chosen, or one that is there */
  readonly fresh: boolean;
  readonly onInput: (value: string) => void;
};

/** A labelled password; a browser may fill it in or think one up. */
export function PasswordField({ label, value, fresh, onInput }: PasswordProps) {
  const id = useId();
  return (
    <div class="field">
      <label for={id}>{label}</label>
      <span class="input">
        <input
          id={id}
          type="password"
          required
          value={value}
          minLength={fresh ? MIN_PASSWORD_CHARACTERS : 1}
          maxLength={MAX_PASSWORD_CHARACTERS}
          autocomplete={fresh ? 'new-password' : 'current-password'}
          {...(fresh ? { 'aria-describedby': `${id}-hint` } : {})}
          onInput={(event) => onInput(event.currentTarget.value)}
        />
        <span />
      </span>
      {fresh && (
        <p class="hint" id={`${id}-hint`}>
          At least {MIN_PASSWORD_CHARACTERS} characters; a sentence is easy to keep in mind.
        </p>
      )}
    </div>
  );
}

/** A labelled name of an account. */
export function NameField({ label, value, onInput }: Omit<PasswordProps, 'fresh'>) {
  const id = useId();
  return (
    <div class="field">
      <label for={id}>{label}</label>
      <span class="input">
        <input
          id={id}
          required
          maxLength={40}
          value={value}
          autocomplete="username"
          autocapitalize="none"
          onInput={(event) => onInput(event.currentTarget.value)}
        />
        <span />
      </span>
    </div>
  );
}

/** What went wrong with an order, said politely. */
export function Problem({ words }: { readonly words: string | null }) {
  return (
    <p class="problem" role="status">
      {words}
    </p>
  );
}
