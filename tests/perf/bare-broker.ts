import { createServer } from 'node:net';
import { Aedes } from 'aedes';

/** The ceiling of the embedded broker: the same library in a process of its own, which only counts. */
let counted = 0;
const broker = await Aedes.createBroker({
  authorizePublish: (_client, _packet, done) => {
    counted += 1;
    done();
  },
});
createServer(broker.handle).listen(Number(process.argv[2]), '127.0.0.1');
process.once('SIGTERM', () => {
  console.log(counted);
  process.exit(0);
});
