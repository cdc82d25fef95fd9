import { asSentence, clock } from '../../words/plain.ts';
import type { InstallationFacts } from '../facts.ts';
import { type AlarmWords, onlyHeadline, type RuleDefinition, type Subject, wordsOf } from '../rule.ts';

type Given<Id extends string> = Omit<RuleDefinition<Id>, 'words' | 'group'> & {
  /** what its message says once it has cleared */
  readonly cleared: string;
};

/** Makes a rule about the installation itself, whose facts list what is wrong. */
export function troubleRule<const Id extends string>({
  cleared,
  ...definition
}: Given<Id>): RuleDefinition<Id> {
  const words = ({ placeName, facts, isOver, reader }: Subject<InstallationFacts>): AlarmWords => {
    if (isOver) return onlyHeadline(`${placeName}: ${cleared}.`);
    const said = facts.items.map(({ what, sinceMs, detail }) => {
      const since = `${asSentence(what)}, since ${clock(sinceMs, reader)}`;
      return detail === null ? since : `${since}: ${detail}`;
    });
    return {
      headline: `${placeName}: ${definition.name}.`,
      detail: `${said.join('; ')}. ${definition.cause} ${definition.consequence}`,
      action: definition.action,
    };
  };
  return { ...definition, group: null, words: wordsOf('installation', words) };
}
