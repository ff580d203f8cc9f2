// Writes a C++ file that holds the page's files, compressed: embed OUT.cpp NAME=FILE...
// The same files always give the same bytes. A name "/page/x" becomes "/page/HASH/x", HASH being of all such files: so
// addressed, a file never changes, and what is relative stays right. In files with other names (index.html, the service
// worker) the text @PAGE@ becomes "/page/HASH", @MODULES@ the links that load the modules early, and "@FILES@" the list of
// the addresses as JSON.
#include <fmt/format.h>
#include <openssl/evp.h>
#include <zlib.h>

#include <algorithm>
#include <cstdio>
#include <fstream>
#include <iterator>
#include <map>
#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

namespace {

struct Asset {
  std::string path;
  std::string type;
  std::string etag;
  std::string gzip;
};

std::string content_type(const std::string& file) {
  static const std::map<std::string, std::string> types{
      {".css", "text/css; charset=utf-8"},           {".html", "text/html; charset=utf-8"},
      {".js", "text/javascript; charset=utf-8"},     {".png", "image/png"},
      {".webmanifest", "application/manifest+json"}, {".svg", "image/svg+xml"},
  };
  const auto type = types.find(file.substr(std::min(file.rfind('.'), file.size())));
  if (type == types.end()) throw std::runtime_error(file + ": no content type is known for it");
  return type->second;
}

std::string content_of(const std::string& file) {
  std::ifstream in(file, std::ios::binary);
  if (!in) throw std::runtime_error(file + ": cannot be read");
  return {std::istreambuf_iterator<char>(in), {}};
}

// The first half of its SHA-256, in hexadecimal.
std::string hash_of(const std::string& content) {
  unsigned char digest[EVP_MAX_MD_SIZE];
  unsigned size = 0;
  if (EVP_Digest(content.data(), content.size(), digest, &size, EVP_sha256(), nullptr) != 1) {
    throw std::runtime_error("SHA-256 failed");
  }
  return fmt::format("{:02x}", fmt::join(digest, digest + size / 2, ""));
}

std::string gzip_of(const std::string& content) {
  z_stream stream{};
  if (deflateInit2(&stream, 9, Z_DEFLATED, 15 + 16, 9, Z_DEFAULT_STRATEGY) != Z_OK) {
    throw std::runtime_error("zlib failed");
  }
  std::string out(deflateBound(&stream, content.size()), '\0');
  stream.next_in = reinterpret_cast<Bytef*>(const_cast<char*>(content.data()));
  stream.avail_in = static_cast<uInt>(content.size());
  stream.next_out = reinterpret_cast<Bytef*>(out.data());
  stream.avail_out = static_cast<uInt>(out.size());
  const int done = deflate(&stream, Z_FINISH);
  out.resize(stream.total_out);
  deflateEnd(&stream);
  if (done != Z_STREAM_END) throw std::runtime_error("zlib failed");
  return out;
}

void replace_all(std::string& text, const std::string& from, const std::string& to) {
  for (std::size_t at = 0; (at = text.find(from, at)) != std::string::npos; at += to.size()) {
    text.replace(at, from.size(), to);
  }
}

std::string source_of(const std::vector<Asset>& assets) {
  std::string out =
      "#include \"web/page/page_assets.h\"\n\nnamespace gyle {\nnamespace {\n\n"
      "std::string_view text(const unsigned char* bytes, std::size_t size) {\n"
      "  return {reinterpret_cast<const char*>(bytes), size};\n}\n\n";
  std::string rows;
  for (std::size_t i = 0; i < assets.size(); ++i) {
    out += fmt::format("constexpr unsigned char kBytes{}[] = {{", i);
    for (std::size_t place = 0; place < assets[i].gzip.size(); ++place) {
      out += fmt::format("{}{},", place % 32 == 0 ? "\n" : "",
                         static_cast<unsigned char>(assets[i].gzip[place]));
    }
    out += "};\n";
    rows += fmt::format("      {{\"{}\", \"{}\", text(kBytes{}, sizeof kBytes{}), \"\\\"{}\\\"\"}},\n",
                        assets[i].path, assets[i].type, i, i, assets[i].etag);
  }
  return out +
         "\n}  // namespace\n\nstd::span<const Asset> page_assets() {\n  static const Asset assets[] = {\n" +
         rows + "  };\n  return assets;\n}\n\n}  // namespace gyle\n";
}

}  // namespace

int main(int count, char** arguments) try {
  struct File {
    std::string path, type, content;
  };
  const std::string page = "/page/";
  std::vector<File> files;
  for (int i = 2; i < count; ++i) {
    const std::string pair = arguments[i];
    const std::size_t equals = pair.find('=');
    if (equals == std::string::npos) throw std::runtime_error(pair + ": NAME=FILE is expected");
    const std::string file = pair.substr(equals + 1);
    files.push_back({pair.substr(0, equals), content_type(file), content_of(file)});
  }
  std::sort(files.begin(), files.end(), [](const File& a, const File& b) { return a.path < b.path; });

  std::string all;
  for (const File& file : files) {
    if (file.path.starts_with(page)) all += file.path + hash_of(file.content);
  }
  const std::string folder = page + hash_of(all).substr(0, 16);
  std::string modules, list;
  for (File& file : files) {
    if (!file.path.starts_with(page)) continue;
    file.path = folder + file.path.substr(page.size() - 1);
    list += fmt::format("{}\"{}\"", list.empty() ? "" : ", ", file.path);
    if (file.path.ends_with(".js") && !file.path.ends_with("/uplot.js")) {
      modules += fmt::format("<link rel=\"modulepreload\" href=\"{}\">\n", file.path);
    }
  }
  std::vector<Asset> assets;
  for (File& file : files) {
    if (!file.path.starts_with(page)) {
      replace_all(file.content, "@PAGE@", folder);
      replace_all(file.content, "@MODULES@\n", modules);
      replace_all(file.content, "'@FILES@'", "[" + list + "]");
    }
    assets.push_back({file.path, file.type, hash_of(file.content), gzip_of(file.content)});
  }
  std::sort(assets.begin(), assets.end(), [](const Asset& a, const Asset& b) { return a.path < b.path; });
  if (count < 2 || !(std::ofstream(arguments[1]) << source_of(assets)).flush()) {
    throw std::runtime_error("usage: embed OUT.cpp NAME=FILE...");
  }
} catch (const std::exception& error) {
  std::fprintf(stderr, "%s\n", error.what());
  return 1;
}
