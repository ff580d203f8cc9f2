#include "control/content_coding.h"

#include <zlib.h>

#include <algorithm>
#include <stdexcept>
#include <vector>

#include "base/text.h"

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

}  // namespace gyle
