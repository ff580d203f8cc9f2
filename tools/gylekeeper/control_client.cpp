#include "control_client.h"

#include <curl/curl.h>
#include <fmt/format.h>
#include <strings.h>

#include <algorithm>
#include <cstring>
#include <memory>
#include <optional>
#include <string_view>

#include "control/request_target.h"
#include "control_answers.h"

namespace gyle {
namespace {

constexpr long kPatience_s = 60;

std::size_t append(char* bytes, std::size_t size, std::size_t count, void* body) {
  static_cast<std::string*>(body)->append(bytes, size * count);
  return size * count;
}

Errc errc_of(long status) {
  switch (status) {
    case 403:
      return Errc::refused;
    case 404:
      return Errc::not_found;
    case 409:
      return Errc::conflict;
    case 422:
      return Errc::out_of_range;
    default:
      return status >= 500 ? Errc::storage : Errc::malformed;
  }
}

// Keeps the target of a Link of ours, rel="next".
std::size_t find_next(char* bytes, std::size_t size, std::size_t count, void* next) {
  const std::string_view line(bytes, size * count);
  const bool link = line.size() > 5 && strncasecmp(line.data(), "link:", 5) == 0;
  const auto begin = line.find('<'), end = line.find('>');
  if (link && begin < end && end != line.npos && line.find("rel=\"next\"", end) != line.npos) {
    static_cast<std::string*>(next)->assign(line.substr(begin + 1, end - begin - 1));
  }
  return size * count;
}

// Sends what is set up in `curl`; a request body when `body` is given.
Result<std::string> perform(const std::filesystem::path& socket, const std::string& target,
                            const std::string* content_type, const std::string* body,
                            std::string* next = nullptr, const char* method = nullptr) {
  static const bool ready = curl_global_init(CURL_GLOBAL_DEFAULT) == CURLE_OK;
  const std::unique_ptr<CURL, decltype(&curl_easy_cleanup)> handle(ready ? curl_easy_init() : nullptr,
                                                                   &curl_easy_cleanup);
  CURL* const curl = handle.get();
  if (curl == nullptr) return fail(Errc::unavailable, "the HTTP library does not start");
  const std::string url = "http://localhost" + target;
  std::string answer;
  curl_easy_setopt(curl, CURLOPT_UNIX_SOCKET_PATH, socket.c_str());
  curl_easy_setopt(curl, CURLOPT_URL, url.c_str());
  curl_easy_setopt(curl, CURLOPT_PATH_AS_IS, 1L);
  curl_easy_setopt(curl, CURLOPT_PROTOCOLS_STR, "http");
  curl_easy_setopt(curl, CURLOPT_NOPROXY, "*");
  curl_easy_setopt(curl, CURLOPT_NOSIGNAL, 1L);
  curl_easy_setopt(curl, CURLOPT_TIMEOUT, kPatience_s);
  curl_easy_setopt(curl, CURLOPT_WRITEFUNCTION, &append);
  curl_easy_setopt(curl, CURLOPT_WRITEDATA, &answer);
  if (method != nullptr) curl_easy_setopt(curl, CURLOPT_CUSTOMREQUEST, method);
  if (next != nullptr) {
    next->clear();
    curl_easy_setopt(curl, CURLOPT_HEADERFUNCTION, &find_next);
    curl_easy_setopt(curl, CURLOPT_HEADERDATA, next);
  }
  std::unique_ptr<curl_slist, decltype(&curl_slist_free_all)> headers(nullptr, &curl_slist_free_all);
  if (body != nullptr) {
    curl_easy_setopt(curl, CURLOPT_POSTFIELDSIZE, static_cast<long>(body->size()));
    curl_easy_setopt(curl, CURLOPT_POSTFIELDS, body->c_str());
    headers.reset(curl_slist_append(nullptr, ("Content-Type: " + *content_type).c_str()));
    curl_easy_setopt(curl, CURLOPT_HTTPHEADER, headers.get());
  }
  const CURLcode code = curl_easy_perform(curl);
  if (code != CURLE_OK) {
    long system_error = 0;
    curl_easy_getinfo(curl, CURLINFO_OS_ERRNO, &system_error);
    const char* const why =
        system_error != 0 ? std::strerror(static_cast<int>(system_error)) : curl_easy_strerror(code);
    return fail(
        Errc::unavailable,
        fmt::format("the daemon does not answer on {}: {}; is gylekeeperd running?", socket.native(), why));
  }
  long status = 0;
  curl_easy_getinfo(curl, CURLINFO_RESPONSE_CODE, &status);
  if (status >= 200 && status < 300) return answer;
  return fail(errc_of(status), problem_detail(answer));
}

}  // namespace

Result<std::string> ControlClient::get(const std::string& target) const {
  return perform(socket_, target, nullptr, nullptr);
}

Status ControlClient::get_pages(const std::string& target,
                                const std::function<Status(const std::string&)>& take) const {
  const std::string joint = target.find('?') == std::string::npos ? "?cursor=" : "&cursor=";
  std::optional<std::string> cursor;
  do {
    BOOST_OUTCOME_TRY(body, get(cursor ? target + joint + percent_encoded(*cursor) : target));
    BOOST_OUTCOME_TRYV(take(body));
    BOOST_OUTCOME_TRY(next, read_next(body));
    if (next && next == cursor)
      return fail(Errc::malformed, "the daemon's list has no end; it may be of another version");
    cursor = next;
  } while (cursor);
  return success();
}

Status ControlClient::get_csv(std::string target, const std::function<Status(std::string_view)>& take) const {
  for (bool first = true; !target.empty(); first = false) {
    std::string next;
    BOOST_OUTCOME_TRY(page, perform(socket_, target, nullptr, nullptr, &next));
    std::string_view rows = page;
    if (!first) rows.remove_prefix(std::min(rows.find('\n'), rows.size() - 1) + 1);
    BOOST_OUTCOME_TRYV(take(rows));
    target = next;
  }
  return success();
}

Result<std::string> ControlClient::get_csv(const std::string& target) const {
  std::string whole;
  BOOST_OUTCOME_TRYV(get_csv(target, [&](std::string_view rows) -> Status {
    whole += rows;
    return success();
  }));
  return whole;
}

Result<std::string> ControlClient::post(const std::string& target, const std::string& content_type,
                                        const std::string& body) const {
  return perform(socket_, target, &content_type, &body);
}

Result<std::string> ControlClient::remove(const std::string& target) const {
  return perform(socket_, target, nullptr, nullptr, nullptr, "DELETE");
}

std::string query_text(const std::vector<std::pair<std::string, std::optional<std::string>>>& given) {
  std::string text;
  for (const auto& [name, value] : given) {
    if (value) text += (text.empty() ? "?" : "&") + percent_encoded(name) + "=" + percent_encoded(*value);
  }
  return text;
}

}  // namespace gyle
