import { ABOUT_ITSELF, COMMON, type Commands } from './usage.ts';

export const SHELLS = ['bash', 'zsh', 'fish'] as const;
type Shell = (typeof SHELLS)[number];

/**
 * What a shell completes: the commands, and the options of each.
 *
 * @param shell which one
 * @param commands by name
 * @returns a script for it
 */
export function completionFor(shell: Shell, commands: Commands): string {
  const names = [...Object.keys(commands), ...Object.keys(ABOUT_ITSELF)];
  if (shell === 'fish') return forFish(names, commands);
  const start = shell === 'zsh' ? '#compdef strikewell\nautoload -U +X bashcompinit && bashcompinit\n' : '';
  return `${start}${forBash(names, commands)}`;
}

function optionsOf({ options }: Commands[string]): string[] {
  return Object.keys({ ...options, ...COMMON });
}

function forBash(names: readonly string[], commands: Commands): string {
  const cases = Object.entries(commands).map(([name, command]) => {
    const words = optionsOf(command).map((option) => `--${option}`);
    return `    ${name}) COMPREPLY=($(compgen -W "${words.join(' ')}" -- "$word")) ;;`;
  });
  return `_strikewell() {
  local word=\${COMP_WORDS[COMP_CWORD]}
  if [ "$COMP_CWORD" -eq 1 ]; then
    COMPREPLY=($(compgen -W "${names.join(' ')}" -- "$word"))
    return
  fi
  case $word in
    -*) ;;
    *) COMPREPLY=($(compgen -f -- "$word")); return ;;
  esac
  case \${COMP_WORDS[1]} in
${cases.join('\n')}
    completion) COMPREPLY=($(compgen -W "${SHELLS.join(' ')}" -- "$word")) ;;
  esac
}
complete -o filenames -F _strikewell strikewell
`;
}

function forFish(names: readonly string[], commands: Commands): string {
  const first = `complete -c strikewell -n __fish_use_subcommand -a "${names.join(' ')}"`;
  const further = Object.entries(commands).flatMap(([name, command]) =>
    optionsOf(command).map(
      (option) => `complete -c strikewell -n "__fish_seen_subcommand_from ${name}" -l ${option}`,
    ),
  );
  return `${[first, ...further].join('\n')}\n`;
}
