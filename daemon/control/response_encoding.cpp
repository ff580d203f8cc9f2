#include "control/response_encoding.h"

#include <fmt/format.h>
#include <openssl/sha.h>
#include <zlib.h>

#include <algorithm>
#include <stdexcept>
#include <vector>

#include "base/text.h"
#include "control/json_answer.h"

namespace gyle {
namespace {

constexpr int kGzip = 15 + 16;  // the largest window, with the header of gzip (zlib.h)
// More work makes numbers hardly smaller, and the loop has other things to do.
constexpr int kLevel = 3;

// Up to `mark`; `text` keeps what follows it.
std::string_view cut(std::string_view& text, char mark) {
  const std::size_t end = std::min(text.find(mark), text.size());
  const std::string_view part = text.substr(0, end);
  text.remove_prefix(std::min(end + 1, text.size()));
  return trimmed(part);
}

// "q=0", "q=0.000"
bool is_refusal(std::string_view parameter) {
  if (parameter.size() < 3 || lower_case(parameter.substr(0, 2)) != "q=") return false;
  return parameter.substr(2).find_first_not_of("0.") == std::string_view::npos;
}

// zlib does not change its input, but its types do not say that.
Bytef* input(std::string_view bytes) { return reinterpret_cast<Bytef*>(const_cast<char*>(bytes.data())); }

}  // namespace

bool accepts_gzip(std::string_view accept_encoding) {
  bool any = false;
  while (!accept_encoding.empty()) {
    std::string_view item = cut(accept_encoding, ',');
    const std::string coding = lower_case(cut(item, ';'));
    const bool wanted = !is_refusal(trimmed(item));
    if (coding == "gzip" || coding == "x-gzip") return wanted;
    if (coding == "*") any = wanted;
  }
  return any;
}

std::string gzip(std::string_view bytes) {
  z_stream stream{};
  if (deflateInit2(&stream, kLevel, Z_DEFLATED, kGzip, 8, Z_DEFAULT_STRATEGY) != Z_OK) throw std::bad_alloc();
  std::string out(deflateBound(&stream, static_cast<uLong>(bytes.size())), '\0');
  stream.next_in = input(bytes);
  stream.avail_in = static_cast<uInt>(bytes.size());
  stream.next_out = reinterpret_cast<Bytef*>(out.data());
  stream.avail_out = static_cast<uInt>(out.size());
  const int done = deflate(&stream, Z_FINISH);
  out.resize(stream.total_out);
  deflateEnd(&stream);
  if (done != Z_STREAM_END) throw std::logic_error("zlib does not keep the bound that it gave");
  return out;
}

Result<std::string> gunzip(std::string_view bytes, std::size_t at_most) {
  z_stream stream{};
  if (inflateInit2(&stream, kGzip) != Z_OK) throw std::bad_alloc();
  stream.next_in = input(bytes);
  stream.avail_in = static_cast<uInt>(bytes.size());
  std::string out;
  std::vector<char> piece(64 * 1024);
  int state = Z_OK;
  while (state == Z_OK && out.size() <= at_most) {
    stream.next_out = reinterpret_cast<Bytef*>(piece.data());
    stream.avail_out = static_cast<uInt>(piece.size());
    state = inflate(&stream, Z_NO_FLUSH);
    out.append(piece.data(), piece.size() - stream.avail_out);
  }
  inflateEnd(&stream);
  if (state != Z_STREAM_END || out.size() > at_most) {
    return fail(Errc::malformed, "this is not gzip, is cut off, or too long");
  }
  return out;
}

namespace {

constexpr std::size_t kWorthCompressing = 1024;
constexpr std::size_t kTagBytes = 16;

std::string_view field(const HttpRequest& request, std::string_view name) {
  const auto found = request.headers.find(name);
  return found == request.headers.end() ? std::string_view() : std::string_view(found->second);
}

std::string* field(HttpResponse& answer, std::string_view name) {
  const auto found = std::find_if(answer.headers.begin(), answer.headers.end(),
                                  [name](const auto& header) { return header.first == name; });
  return found == answer.headers.end() ? nullptr : &found->second;
}

// Weak comparison: a W/ before a tag makes no difference. Our tags hold no comma.
bool lists(std::string_view if_none_match, std::string_view tag) {
  while (!if_none_match.empty()) {
    const std::size_t end = std::min(if_none_match.find(','), if_none_match.size());
    std::string_view item = if_none_match.substr(0, end);
    if_none_match.remove_prefix(std::min(end + 1, if_none_match.size()));
    while (item.starts_with(' ')) item.remove_prefix(1);
    while (item.ends_with(' ')) item.remove_suffix(1);
    if (item.starts_with("W/")) item.remove_prefix(2);
    if (item == tag || item == "*") return true;
  }
  return false;
}

}  // namespace

std::string entity_tag(std::string_view bytes) {
  unsigned char digest[SHA256_DIGEST_LENGTH];
  SHA256(reinterpret_cast<const unsigned char*>(bytes.data()), bytes.size(), digest);
  std::string tag = "\"";
  for (std::size_t i = 0; i < kTagBytes; ++i) tag += fmt::format("{:02x}", digest[i]);
  return tag + "\"";
}

HttpResponse encoded_response(const HttpRequest& request, HttpResponse answer, std::size_t at_most) {
  if (answer.event_stream) return answer;
  const bool encoded = field(answer, "Content-Encoding") != nullptr;
  const bool compress =
      !encoded && answer.body.size() > kWorthCompressing && accepts_gzip(field(request, "accept-encoding"));
  answer.headers.emplace_back("Vary", "Accept-Encoding");
  if (request.method == "GET" && answer.status == 200) {
    std::string* tag = field(answer, "ETag");
    if (!tag) tag = &answer.headers.emplace_back("ETag", entity_tag(answer.body)).second;
    // Other bytes, another strong tag.
    if (compress) tag->insert(tag->size() - 1, "-gzip");
    if (lists(field(request, "if-none-match"), *tag)) {
      answer.status = 304;
      answer.body.clear();
      return answer;
    }
  }
  if (compress) {
    answer.body = gzip(answer.body);
    answer.headers.emplace_back("Content-Encoding", "gzip");
  }
  if (answer.body.size() > at_most) {
    return problem(
        413, fmt::format("the answer would have {} bytes, and no more than {} are sent here: ask for less "
                         "at once, or use the command gylekeeper",
                         answer.body.size(), at_most));
  }
  return answer;
}

}  // namespace gyle
