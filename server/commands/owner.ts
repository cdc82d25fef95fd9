import { Fault } from '../../shared/faults.ts';
import { newPasswordSchema } from '../../shared/model/access.ts';
import { OWNER_NAME } from '../../shared/model/roles.ts';
import { openAccessBeside } from '../adapters/sqlite/access.ts';
import { lockDataDir, lockHolder } from '../adapters/sqlite/lock.ts';
import { askSecret, firstLine, isTyped } from '../adapters/system/ask-secret.ts';
import { systemClock as clock } from '../adapters/system/clock.ts';
import { openDataDir } from '../adapters/system/files.ts';
import { systemSecrets as secrets } from '../adapters/system/secrets.ts';
import { setOwnerPassword } from '../daemon/access/owner.ts';
import type { AccessRecord } from '../ports.ts';
import type { Command } from './command.ts';
import { openRecord, recordFileIn } from './record-file.ts';

/** Sets the owner password, also a forgotten one, from the machine itself, beside a running daemon or without it. */
export const owner: Command = {
  summary: 'set or reset the owner password; asked for, or read from the standard input',
  usage: '[--config FILE]',
  options: {},
  async run({ settings, words, say }) {
    if (words.length > 0) {
      // not repeated here: it may be the password
      const message = 'Give no words: what stands on a command line can be read by others. It is asked for.';
      throw new Fault({ code: 'bad-request', message });
    }
    const { dataDir } = settings;
    openDataDir(dataDir);
    const password = checked(isTyped() ? await typedTwice() : await firstLine());
    const opened = open(dataDir);
    try {
      const nowMs = clock.nowMs();
      const { reset } = await setOwnerPassword({ record: opened.access, secrets, nowMs }, password);
      const done = reset ? 'reset; whoever was signed in with it is signed out' : 'set';
      say(
        `The owner password is ${done}. Sign in as "${OWNER_NAME}". A daemon that runs asks for it from now on.`,
      );
      return { code: 0 };
    } finally {
      opened.close();
    }
  },
};

function open(dataDir: string): { access: AccessRecord; close(): void } {
  if (lockHolder(dataDir) !== null) return openAccessBeside(recordFileIn(dataDir));
  const lock = lockDataDir(dataDir);
  try {
    const { store } = openRecord({ dataDir, nowMs: clock.nowMs() });
    return {
      access: store.access,
      close() {
        store.close();
        lock.release();
      },
    };
  } catch (cause) {
    lock.release();
    throw cause;
  }
}

async function typedTwice(): Promise<string> {
  const password = checked(await askSecret('New owner password: '));
  if ((await askSecret('The same again: ')) === password) return password;
  throw new Fault({ code: 'bad-request', message: 'The two are not the same; nothing was changed.' });
}

function checked(password: string): string {
  const parsed = newPasswordSchema.safeParse(password);
  if (parsed.success) return parsed.data;
  const why = parsed.error.issues[0]?.message ?? 'it cannot be that';
  throw new Fault({ code: 'bad-request', message: `Nothing was changed: ${why}.` });
}
