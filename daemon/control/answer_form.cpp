#include "control/answer_form.h"

#include <fmt/format.h>
#include <openssl/sha.h>

#include <algorithm>

#include "control/content_coding.h"
#include "control/json_answer.h"

namespace gyle {
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

HttpResponse sent_form(const HttpRequest& request, HttpResponse answer, std::size_t at_most) {
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
