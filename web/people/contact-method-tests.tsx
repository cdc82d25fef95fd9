import type { TestView } from '../../shared/wire/people.ts';
import { call } from '../api.ts';
import { useOrder } from '../common/hooks.ts';
import { reader } from '../state.ts';
import { testWords } from './people.ts';

type ContactMethodTestsProps = { readonly tests: readonly TestView[]; readonly changed: () => void };

/** The results of the last tests of a contact method, the newest first; one that waits can be confirmed. */
export function ContactMethodTests({ tests: [newest, ...earlier], changed }: ContactMethodTestsProps) {
  const order = useOrder();
  if (!newest) return <p class="quiet">Not tested yet.</p>;
  const confirm = async () => {
    if (await order.run(() => call('confirmTest', { params: { id: newest.id } }))) changed();
  };
  const { words, bad } = testWords(newest, reader.value);
  return (
    <>
      <p class={bad ? 'problem' : ''} role="status" data-testid="tested">
        {words}.
      </p>
      {newest.takenAt !== null && newest.confirmedAt === null && (
        <button type="button" class="reached" disabled={order.busy} onClick={() => void confirm()}>
          It reached me<span class="unseen">: {words}</span>
        </button>
      )}
      {order.problem && (
        <p class="problem" role="status">
          {order.problem}
        </p>
      )}
      {earlier.length > 0 && (
        <details>
          <summary>Earlier tests</summary>
          <ul data-testid="earlier-tests">
            {earlier.map((test) => (
              <li key={test.id}>{testWords(test, reader.value).words}</li>
            ))}
          </ul>
        </details>
      )}
    </>
  );
}
