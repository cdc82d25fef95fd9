import { pino, symbols } from 'pino';
import type { Log } from '../../ports.ts';

/** Lines that wait for a stream that accepts nothing, bytes; what comes beyond is left out. */
const MOST_WAITING_BYTES = 1024 * 1024;

type LogLevel = 'info' | 'warn' | 'error';

type Destination = { write(line: string): unknown };

/** How a line gives the journal of systemd its priority, by the level of pino (sd-daemon(3)). */
const JOURNAL_PRIORITY: Readonly<Record<number, string>> = { 30: '<6>', 40: '<4>', 50: '<3>' };

/**
 * Log lines as JSON on the standard error stream. One that is closed, or on a full disk, stops nobody.
 *
 * @param level the least that is written
 * @param forJournal whether each line begins with its priority, as the journal of systemd reads it
 */
export function createLog(level: LogLevel, { forJournal = false }: { forJournal?: boolean } = {}): Log {
  const stream = pino.destination({ dest: 2, sync: true, maxLength: MOST_WAITING_BYTES });
  stream.on('error', () => undefined);
  return logTo(forJournal ? prioritised(stream) : stream, level);
}

/**
 * The same to any destination.
 *
 * @param stream takes each line, its end included
 * @param level the least that is written
 */
export function logTo(stream: Destination, level: LogLevel): Log {
  const logger = pino({ level, base: null, timestamp: pino.stdTimeFunctions.isoTime }, stream);
  return {
    info: (message, fields = {}) => logger.info(fields, message),
    warn: (message, fields = {}) => logger.warn(fields, message),
    error: (message, fields = {}) => logger.error(fields, message),
  };
}

/**
 * A destination whose lines begin with their priority.
 *
 * @param stream what takes them then
 */
export function prioritised(stream: Destination): Destination {
  return {
    // pino then says the level of each line before it
    [symbols.needsMetadataGsym as unknown as string]: true,
    lastLevel: 30,
    write(line: string) {
      return stream.write(`${JOURNAL_PRIORITY[this.lastLevel] ?? '<6>'}${line}`);
    },
  } as Destination & { lastLevel: number };
}
