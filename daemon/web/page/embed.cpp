// Writes a C++ file that holds the page's files, compressed: embed OUT.cpp NAME=FILE[+FILE...]...
// The same files always give the same bytes. A name "/page/x" becomes "/page/HASH/x", HASH being of all such files: so
// addressed, a file never changes, and what is relative stays right. In files with other names (index.html, the service
// worker) the text @PAGE@ becomes "/page/HASH", and "@FILES@" the list of the addresses as JSON.
// Several files become one: on a slow network each request costs more than what is in it. Modules keep a scope of their own
// (joined_modules).
#include <fmt/format.h>
#include <openssl/evp.h>
#include <zlib.h>

#include <algorithm>
#include <cstdio>
#include <fstream>
#include <iterator>
#include <map>
#include <regex>
#include <set>
#include <sstream>
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

[[noreturn]] void fail(const std::string& what) { throw std::runtime_error(what); }

std::string stem(const std::string& file) {
  const std::size_t begin = file.rfind('/') + 1;
  return file.substr(begin, file.rfind('.') - begin);
}

struct Module {
  std::string name;
  std::string body;
  std::vector<std::string> needs;
};

// `import` becomes a look at what another module has made, `export` a property of what this one makes. It reads the form
// that the page is written in: each in a line of its own, and nothing exported that changes later.
Module module_of(const std::string& file) {
  static const std::regex import_named(R"(import \{ (.*) \} from '\./(\w+)\.js';)");
  static const std::regex import_all(R"(import \* as (\w+) from '\./(\w+)\.js';)");
  static const std::regex exported(R"(export ((?:async )?function|const|class) (\w+)(.*))");
  Module module{stem(file), "", {}};
  std::string names;
  std::istringstream in(content_of(file));
  for (std::string line; std::getline(in, line);) {
    std::smatch part;
    if (std::regex_match(line, part, import_named)) {
      module.needs.push_back(part[2]);
      module.body += fmt::format("const {{ {} }} = made.{};\n",
                                 std::regex_replace(part[1].str(), std::regex(" as "), ": "), part[2].str());
    } else if (std::regex_match(line, part, import_all)) {
      module.needs.push_back(part[2]);
      module.body += fmt::format("const {} = made.{};\n", part[1].str(), part[2].str());
    } else if (std::regex_match(line, part, exported)) {
      names += names.empty() ? part[2].str() : ", " + part[2].str();
      module.body += line.substr(std::string_view("export ").size()) + "\n";
    } else if (line.starts_with("import ") || line.starts_with("export ")) {
      fail(fmt::format("{}: how is this joined? {}", file, line));
    } else if (const std::size_t text = line.find_first_not_of(' ');
               text != std::string::npos && line.compare(text, 2, "//") != 0) {
      module.body += line + "\n";
    }
  }
  module.body =
      fmt::format("made.{} = (() => {{\n{}return {{ {} }};\n}})();\n", module.name, module.body, names);
  return module;
}

// Each after what it needs.
std::string joined_modules(const std::vector<std::string>& files) {
  std::vector<Module> waiting;
  for (const std::string& file : files) waiting.push_back(module_of(file));
  std::set<std::string> there;
  std::string all = "const made = {};\n";
  while (!waiting.empty()) {
    const auto next = std::find_if(waiting.begin(), waiting.end(), [&](const Module& one) {
      return std::all_of(one.needs.begin(), one.needs.end(),
                         [&](const std::string& need) { return there.contains(need); });
    });
    if (next == waiting.end())
      fail(waiting.front().name + ".js: it needs a module that is not there, or that needs this one");
    there.insert(next->name);
    all += next->body;
    waiting.erase(next);
  }
  return all;
}

std::string content_of(const std::vector<std::string>& files) {
  if (files.size() > 1 && files.front().ends_with(".js")) return joined_modules(files);
  std::string all;
  for (const std::string& file : files) all += content_of(file);
  return all;
}

std::vector<std::string> split(const std::string& text, char at) {
  std::vector<std::string> parts;
  std::istringstream in(text);
  for (std::string part; std::getline(in, part, at);) parts.push_back(part);
  return parts;
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
    const std::vector<std::string> parts = split(pair.substr(equals + 1), '+');
    files.push_back({pair.substr(0, equals), content_type(parts.at(0)), content_of(parts)});
  }
  std::sort(files.begin(), files.end(), [](const File& a, const File& b) { return a.path < b.path; });

  std::string all;
  for (const File& file : files) {
    if (file.path.starts_with(page)) all += file.path + hash_of(file.content);
  }
  const std::string folder = page + hash_of(all).substr(0, 16);
  std::string list;
  for (File& file : files) {
    if (!file.path.starts_with(page)) continue;
    file.path = folder + file.path.substr(page.size() - 1);
    list += fmt::format("{}\"{}\"", list.empty() ? "" : ", ", file.path);
  }
  std::vector<Asset> assets;
  for (File& file : files) {
    if (!file.path.starts_with(page)) {
      replace_all(file.content, "@PAGE@", folder);
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
