import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { brotliCompressSync, constants, gzipSync } from 'node:zlib';
import { defineConfig, type Plugin } from 'vite';

/** Smaller files go as they are: the twin would save less than a packet, bytes. */
const LEAST_BYTES = 1_000;

/** Writes beside each asset its two compressed twins, as small as they get: made once, so that serving them costs nothing. */
function compressedAssets(): Plugin {
  return {
    name: 'compressed-assets',
    apply: 'build',
    writeBundle({ dir = '' }, bundle) {
      // while somebody edits, a build is to be quick
      if (this.meta.watchMode) return;
      for (const fileName of Object.keys(bundle)) {
        if (!/^assets\/.*\.(?:js|css|svg)$/.test(fileName)) continue;
        const file = join(dir, fileName);
        const plain = readFileSync(file);
        if (plain.length < LEAST_BYTES) continue;
        const params = {
          [constants.BROTLI_PARAM_MODE]: constants.BROTLI_MODE_TEXT,
          [constants.BROTLI_PARAM_SIZE_HINT]: plain.length,
        };
        writeFileSync(`${file}.br`, brotliCompressSync(plain, { params }));
        writeFileSync(`${file}.gz`, gzipSync(plain, { level: constants.Z_BEST_COMPRESSION }));
      }
    },
  };
}

export default defineConfig({
  root: fileURLToPath(new URL('.', import.meta.url)),
  base: '/',
  plugins: [compressedAssets()],
  oxc: { jsx: { runtime: 'automatic', importSource: 'preact' } },
  build: {
    outDir: 'dist',
    emptyOutDir: true,
    target: 'es2022',
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    reportCompressedSize: true,
    manifest: 'build.json',
  },
});
