import { useState } from 'preact/hooks';
import type { ContactMethod, Person, Quiet } from '../../shared/model/people/people.ts';
import type { PeopleAnswer } from '../../shared/wire/people.ts';
import { call } from '../api.ts';
import { useOrder } from '../common/hooks.ts';
import { momentWords } from '../common/time.ts';
import { reader, say } from '../state.ts';
import { ContactMethodForm } from './contact-method-form.tsx';
import { ContactMethodTests } from './contact-method-tests.tsx';
import { contactMethodName, gapLine, quietWords } from './people.ts';
import { PersonForm } from './person-form.tsx';
import { PushSwitch } from './push-switch.tsx';

type Shared = { readonly person: Person; readonly answer: PeopleAnswer; readonly changed: () => void };

/** Asks once more before something is taken away. */
export function Removal(props: { what: string; busy: boolean; remove: () => void }) {
  const [sure, setSure] = useState(false);
  if (!sure)
    return (
      <button type="button" onClick={() => setSure(true)}>
        Remove…<span class="unseen"> {props.what}</span>
      </button>
    );
  return (
    <span class="row confirm">
      <span>Remove {props.what}?</span>
      <button type="button" class="first" disabled={props.busy} onClick={props.remove}>
        Remove
      </button>
      <button type="button" onClick={() => setSure(false)}>
        Keep
      </button>
    </span>
  );
}

function ContactMethodRow({ person, way: method, answer, changed }: Shared & { way: ContactMethod }) {
  const order = useOrder();
  const [editing, setEditing] = useState(false);
  const failure = answer.failing.find(({ wayId }) => wayId === method.id);
  const gap = answer.restoreGaps.find(({ wayId }) => wayId === method.id);
  const params = { id: person.id, wayId: method.id };
  const test = async () => {
    if (await order.run(() => call('testWay', { params }))) changed();
  };
  const remove = async () => {
    if (!(await order.run(() => call('deleteWay', { params })))) return;
    say(`${person.name} is no longer reached by ${contactMethodName(method)}.`);
    changed();
  };
  return (
    <li data-testid="way">
      <span class="breakable">{contactMethodName(method)}</span>
      <span class="row">
        <button type="button" disabled={order.busy} onClick={() => void test()}>
          Test now<span class="unseen"> by {contactMethodName(method)}</span>
        </button>
        {method.kind !== 'push' && !editing && (
          <button type="button" onClick={() => setEditing(true)}>
            Change…<span class="unseen"> {contactMethodName(method)}</span>
          </button>
        )}
        <Removal what={contactMethodName(method)} busy={order.busy} remove={() => void remove()} />
      </span>
      {editing && method.kind !== 'push' && (
        <ContactMethodForm
          person={person}
          changed={changed}
          way={method}
          canMail={answer.can.mail}
          close={() => setEditing(false)}
        />
      )}
      {gap && (
        <p class="problem" data-testid="restore-gap">
          {gapLine(gap, reader.value)}
        </p>
      )}
      {failure && (
        <p class="problem">
          Takes no messages since {momentWords({ atMs: Date.parse(failure.since), ...reader.value })}:{' '}
          {failure.error}
        </p>
      )}
      <ContactMethodTests tests={answer.tests.filter(({ wayId }) => wayId === method.id)} changed={changed} />
      {order.problem && (
        <p class="problem" role="status">
          {order.problem}
        </p>
      )}
    </li>
  );
}

/** One person: name, quiet hours, and the contact methods by which they are reached. */
export function PersonCard({ person, answer, changed }: Shared) {
  const order = useOrder();
  const [editing, setEditing] = useState(false);
  const [adding, setAdding] = useState(false);
  const params = { id: person.id };
  const testAll = async () => {
    if (await order.run(() => call('testPerson', { params }))) changed();
  };
  const save = async (patch: { name: string; quiet: Quiet | null }) => {
    if (!(await order.run(() => call('changePerson', { params, body: patch })))) return;
    setEditing(false);
    changed();
  };
  const remove = async () => {
    if (!(await order.run(() => call('deletePerson', { params })))) return;
    say(`${person.name} was removed.`);
    changed();
  };
  return (
    <section class="person" aria-label={person.name} data-testid="person">
      <h2>{person.name}</h2>
      {editing ? (
        <PersonForm order={order} person={person} name="Save" onSave={save} close={() => setEditing(false)} />
      ) : (
        <div class="row">
          <span>{quietWords(person.quiet)}</span>
          <button type="button" onClick={() => setEditing(true)}>
            Change…<span class="unseen"> {person.name}</span>
          </button>
          <Removal what={`${person.name} with all ways`} busy={order.busy} remove={() => void remove()} />
        </div>
      )}
      {order.problem && !editing && (
        <p class="problem" role="status">
          {order.problem}
        </p>
      )}
      <ul class="ways">
        {person.ways.map((method) => (
          <ContactMethodRow key={method.id} person={person} way={method} answer={answer} changed={changed} />
        ))}
      </ul>
      {adding ? (
        <ContactMethodForm
          person={person}
          changed={changed}
          canMail={answer.can.mail}
          close={() => setAdding(false)}
        />
      ) : (
        <div class="row">
          <button type="button" onClick={() => setAdding(true)}>
            Add a contact method…<span class="unseen"> for {person.name}</span>
          </button>
          {person.ways.length > 1 && (
            <button type="button" disabled={order.busy} onClick={() => void testAll()}>
              Test all ways now<span class="unseen"> to {person.name}</span>
            </button>
          )}
          <PushSwitch person={person} pushKey={answer.pushKey} changed={changed} />
        </div>
      )}
    </section>
  );
}
