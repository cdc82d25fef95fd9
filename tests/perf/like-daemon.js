import { enableCompileCache } from 'node:module';

// as server/launch.js starts the daemon
enableCompileCache();
