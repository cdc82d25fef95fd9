import { ABOUT_ITSELF, type Commands } from './usage.ts';

type Manual = { readonly commands: Commands; readonly keys: readonly string[]; readonly version: string };

/**
 * The manual page, made of what each command says of itself.
 *
 * @param manual commands by name, the keys of all settings, and the version
 * @returns roff in the macros of man(7)
 */
export function manualPage({ commands, keys, version }: Manual): string {
  const described = Object.entries(commands).map(
    ([name, { summary, usage }]) =>
      `.SS "strikewell ${name}"\n.nf\n${roff(usage)}\n.fi\n.PP\n${roff(sentence(summary))}`,
  );
  const itself = Object.entries(ABOUT_ITSELF).map(
    ([name, summary]) => `.SS "strikewell ${name}"\n${roff(sentence(summary))}`,
  );
  return `.TH STRIKEWELL 1 "" "Strikewell ${version}" "User Commands"
.SH NAME
strikewell \\- watch the climate in which cuttings root, and tell a person in time
.SH SYNOPSIS
.B strikewell
.I command
.RB [ \\-\\-config
.IR FILE ]
.SH DESCRIPTION
${roff('Strikewell reads sensors over MQTT, keeps every reading, and wakes somebody when the climate of a place harms its cuttings. It watches; it is no safety device and switches nothing.')}
.SH COMMANDS
${[...described, ...itself].join('\n')}
.SH ENVIRONMENT
${roff('Each of these may stand in FILE (JSON) under the same key. What each means, and what it is unless set, stands in README.md. A key that ends in _FILE names a file that holds the value of the key without that end.')}
${keys.map((key) => `.TP\n.B ${roff(key)}`).join('\n')}
.SH "EXIT STATUS"
${roff('0: it ended as asked. 2: a wrong command or setting, or a refusal; nothing was changed. 1: anything else, as each command says.')}
`;
}

function sentence(summary: string): string {
  return `${summary.charAt(0).toUpperCase()}${summary.slice(1)}.`;
}

/** A line that begins with a dot or an apostrophe would be an order of roff. */
function roff(text: string): string {
  return text
    .replaceAll('\\', '\\e')
    .replaceAll('-', '\\-')
    .replaceAll(/^(?=[.'])/gm, '\\&');
}
