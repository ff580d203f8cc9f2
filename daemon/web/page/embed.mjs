// Writes a C++ file that holds the page's files, compressed: node embed.mjs OUT.cpp NAME=FILE...
// The same files always give the same bytes.
import { createHash } from 'node:crypto';
import { readFileSync, writeFileSync } from 'node:fs';
import { extname } from 'node:path';
import { gzipSync } from 'node:zlib';

const types = {
  '.css': 'text/css; charset=utf-8',
  '.html': 'text/html; charset=utf-8',
  '.js': 'text/javascript; charset=utf-8',
  '.svg': 'image/svg+xml',
  '.webmanifest': 'application/manifest+json',
};

const [out, ...pairs] = process.argv.slice(2);
const assets = pairs.map((pair) => {
  const [path, file] = pair.split('=');
  const content = readFileSync(file);
  const type = types[extname(file)];
  if (!type) throw new Error(`${file}: no content type is known for it`);
  const hash = createHash('sha256').update(content).digest('hex').slice(0, 32);
  return { path, type, etag: `\\"${hash}\\"`, gzip: gzipSync(content, { level: 9 }) };
});
assets.sort((a, b) => (a.path < b.path ? -1 : 1));

const bytes = (buffer) => {
  const lines = [];
  for (let i = 0; i < buffer.length; i += 32) lines.push([...buffer.subarray(i, i + 32)].join(','));
  return lines.join(',\n');
};

writeFileSync(out, `#include "web/page_assets.h"

namespace gyle {
namespace {

${assets.map((a, i) => `constexpr unsigned char kBytes${i}[] = {${bytes(a.gzip)}};`).join('\n')}

std::string_view text(const unsigned char* bytes, std::size_t size) {
  return {reinterpret_cast<const char*>(bytes), size};
}

}  // namespace

std::span<const Asset> page_assets() {
  static const Asset assets[] = {
${assets.map((a, i) => `      {"${a.path}", "${a.type}", text(kBytes${i}, sizeof kBytes${i}), "${a.etag}"},`).join('\n')}
  };
  return assets;
}

}  // namespace gyle
`);
