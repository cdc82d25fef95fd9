import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { join } from 'node:path';
import { expect, onTestFinished, test } from 'vitest';
import { serviceManager } from '../../../../../server/adapters/system/service-manager.ts';
import { toolPath } from '../../../../support/environment.ts';
import { removeFolder, temporaryFolder } from '../../../../support/folders.ts';

const RECEIVER = `
import socket, sys
door = socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM)
door.bind(sys.argv[1])
print("bound", flush=True)
while True:
    print(door.recv(4096).decode().replace("\\n", " "), flush=True)
`;

test('systemd-notify tells a real socket READY=1 and WATCHDOG=1; without one nothing is started', async () => {
  const folder = temporaryFolder('notify');
  const path = join(folder, 'socket');
  const receiver = spawn(toolPath('python'), ['-c', RECEIVER, path], {
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  onTestFinished(() => {
    receiver.kill('SIGKILL');
    removeFolder(folder);
  });
  const warned: string[] = [];
  const log = { info: () => undefined, warn: (text: string) => warned.push(text), error: () => undefined };
  let said = '';
  receiver.stdout.setEncoding('utf8').on('data', (text: string) => {
    said += text;
  });
  const until = async (words: string) => {
    while (!said.includes(words)) await once(receiver.stdout, 'data');
  };
  await until('bound');
  const program = toolPath('systemdNotify');
  const manager = serviceManager({ socket: path, log, program });
  manager.ready();
  await until('READY=1');
  manager.alive();
  await until('WATCHDOG=1');
  serviceManager({ socket: null, log, program }).alive();
  expect(warned).toEqual([]);
  serviceManager({ socket: path, log, program: null }).alive();
  expect(warned).toHaveLength(1);
});
