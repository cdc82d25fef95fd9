import { FULL_DISK } from './full-disk.ts';
import { KILLS_AT_WORK } from './kills.ts';
import { LASTING } from './lasting.ts';
import type { How, Row, Scene } from './outcome.ts';
import { KILLS_OF_RECORD } from './replaced.ts';

/** Every fault that is brought about, in the order of the table. */
export const FAULTS: readonly Scene[] = [...KILLS_AT_WORK, ...KILLS_OF_RECORD, ...FULL_DISK, ...LASTING];

/** Scenes that are played side by side; those that wait come on top. */
const SIDE_BY_SIDE = 2;

function failed({ names }: Scene, cause: unknown): Row[] {
  return names.map((name) => ({ name, outcome: null, failure: String(cause) }));
}

/**
 * Plays scenes, several at a time.
 * @param told each row as it comes
 * @returns the rows in the order of the table
 */
export async function playAll(scenes: readonly Scene[], how: How, onRow: (row: Row) => void): Promise<Row[]> {
  const rows = new Map<Scene, readonly Row[]>();
  const play = async (scene: Scene) => {
    const came = await scene.play(how).catch((cause: unknown) => failed(scene, cause));
    came.forEach(onRow);
    rows.set(scene, came);
  };
  const played = scenes.filter(({ form }) => form === undefined || form === how.form);
  const queue = played.filter(({ waits }) => waits !== true);
  const inTurn = async () => {
    for (let scene = queue.shift(); scene !== undefined; scene = queue.shift()) await play(scene);
  };
  const waiting = played.filter(({ waits }) => waits === true).map(play);
  await Promise.all([...waiting, ...Array.from({ length: SIDE_BY_SIDE }, inTurn)]);
  return played.flatMap((scene) => rows.get(scene) ?? []);
}
