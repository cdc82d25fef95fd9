import { useEffect, useId, useState } from 'preact/hooks';
import { lengthProblem, patternProblem } from '../../shared/model/people/password.ts';
import { MIN_PASSWORD_CHARACTERS } from '../../shared/model/people/roles.ts';
import { call } from '../api.ts';
import { useSettled } from './hooks.ts';

/** How long typing must have rested before the list of common passwords is asked, ms. */
const TYPED_AFTER_MS = 400;

type PasswordProps = {
  readonly label: string;
  readonly value: string;
  /** whether it is one to be chosen, or one that is there */
  readonly fresh: boolean;
  /** name of the account it is chosen for */
  readonly account?: string;
  readonly onInput: (value: string) => void;
};

/** A labelled password; a browser may fill it in or think one up. */
export function PasswordField({ label, value, fresh, account = '', onInput }: PasswordProps) {
  const id = useId();
  const problem = useGuessable(fresh ? value : '', account);
  return (
    <div class={`field${problem === null ? '' : ' wrong'}`}>
      <label for={id}>{label}</label>
      <span class="input">
        <input
          id={id}
          type="password"
          required
          value={value}
          minLength={fresh ? MIN_PASSWORD_CHARACTERS : 1}
          autocomplete={fresh ? 'new-password' : 'current-password'}
          aria-invalid={problem !== null}
          {...(fresh ? { 'aria-describedby': `${id}-hint` } : {})}
          onInput={(event) => onInput(event.currentTarget.value)}
        />
        <span />
      </span>
      {fresh && (
        <p class={problem === null ? 'hint' : 'problem'} id={`${id}-hint`} role="status">
          {problem ?? `At least ${MIN_PASSWORD_CHARACTERS} characters; a sentence is easy to remember.`}
        </p>
      )}
    </div>
  );
}

/** What makes a password easy to guess, as a sentence, once typing rests; null while it is short. */
function useGuessable(password: string, account: string): string | null {
  const settled = useSettled({ password, account }, `${account}\n${password}`, TYPED_AFTER_MS);
  const [common, setCommon] = useState<{ password: string; problem: string | null } | null>(null);
  const isShort = lengthProblem(settled.password) !== null;
  useEffect(() => {
    if (isShort) return;
    const chosen = { password: settled.password, name: settled.account };
    // without an answer the daemon says it when the password is set
    call('checkPassword', { body: chosen }).then(
      ({ problem }) => setCommon({ password: chosen.password, problem }),
      () => setCommon(null),
    );
  }, [settled]);
  if (isShort || settled.password !== password) return null;
  const found = common?.password === password ? common.problem : null;
  return sentence(patternProblem(password, [account]) ?? found);
}

function sentence(words: string | null): string | null {
  return words === null ? null : `${words.charAt(0).toUpperCase()}${words.slice(1)}.`;
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
