import { createInterface } from 'node:readline';
import { Fault } from '../../../shared/faults.ts';

const [ENTER, RETURN, BACKSPACE, DELETE, INTERRUPT, END] = ['\n', '\r', '\b', '\x7f', '\x03', '\x04'];

/** Whether somebody types; otherwise a program or a file gives the answer. */
export function isTyped(): boolean {
  return process.stdin.isTTY === true;
}

/** The first line of the standard input, for a program that gives a secret. */
export async function firstLine(): Promise<string> {
  const lines = createInterface({ input: process.stdin, crlfDelay: Number.POSITIVE_INFINITY });
  try {
    for await (const line of lines) return line;
    return '';
  } finally {
    lines.close();
  }
}

/**
 * Asks for a secret at the terminal; what is typed is not shown.
 * @throws Fault `bad-request` when it is broken off
 */
export async function askSecret(question: string): Promise<string> {
  process.stderr.write(question);
  const stdin = process.stdin;
  stdin.setRawMode(true);
  stdin.setEncoding('utf8');
  stdin.resume();
  const { promise, resolve, reject } = Promise.withResolvers<string>();
  let typed = '';
  const take = (text: string) => {
    for (const character of text) {
      if (character === ENTER || character === RETURN) return resolve(typed);
      if (character === INTERRUPT || character === END) return reject(brokenOff());
      if (character === BACKSPACE || character === DELETE) typed = [...typed].slice(0, -1).join('');
      else typed += character;
    }
  };
  stdin.on('data', take);
  try {
    return await promise;
  } finally {
    stdin.off('data', take);
    stdin.setRawMode(false);
    stdin.pause();
    process.stderr.write('\n');
  }
}

function brokenOff(): Fault {
  return new Fault({ code: 'bad-request', message: 'Broken off; nothing was changed.' });
}
