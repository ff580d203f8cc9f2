#include "web/access.h"

#include <fmt/format.h>
#include <openssl/crypto.h>
#include <openssl/evp.h>
#include <openssl/rand.h>
#include <openssl/sha.h>

#include <algorithm>
#include <array>
#include <nlohmann/json.hpp>
#include <stdexcept>

#include "base/text.h"
#include "control/json_answer.h"

namespace gyle {
namespace {

constexpr Duration kSessionIdle = days(30);
constexpr std::size_t kSessionsKept = 64;
constexpr std::string_view kCookie = "gylekeeper";

std::string_view field(const HttpRequest& request, std::string_view name) {
  const auto found = request.headers.find(name);
  return found == request.headers.end() ? std::string_view() : std::string_view(found->second);
}

std::string_view path_of(const HttpRequest& request) {
  const std::string_view target = request.target;
  return target.substr(0, target.find('?'));
}

// Compared in its place, so that the time of the comparison reveals nothing of the secret.
std::string digest(std::string_view text) {
  std::string out(SHA256_DIGEST_LENGTH, '\0');
  SHA256(reinterpret_cast<const unsigned char*>(text.data()), text.size(),
         reinterpret_cast<unsigned char*>(out.data()));
  return out;
}

// The host of "HOST", "HOST:PORT", "[::1]:PORT", in lower case; empty when it is none of these.
std::string host_in(std::string_view authority) {
  std::size_t end = authority.find(':');
  if (authority.starts_with('[')) {
    const std::size_t bracket = authority.find(']');
    if (bracket == std::string_view::npos) return "";
    end = bracket + 1;
  }
  const std::string_view port = end >= authority.size() ? std::string_view() : authority.substr(end);
  if (!port.empty() && (port.front() != ':' || port.size() > 6 ||
                        port.find_first_not_of("0123456789", 1) != std::string_view::npos)) {
    return "";
  }
  std::string host = lower_case(authority.substr(0, end));
  if (host.starts_with('[')) return host.substr(1, host.size() - 2);
  if (host.ends_with('.')) host.pop_back();
  const bool clean = host.find_first_not_of("abcdefghijklmnopqrstuvwxyz0123456789.-_") == std::string::npos;
  return clean ? host : "";
}

// An address cannot be made to point here by a foreign name server, unlike a name.
bool is_numeric(std::string_view host) {
  if (host.find(':') != std::string_view::npos) return true;
  return std::count(host.begin(), host.end(), '.') == 3 &&
         host.find_first_not_of("0123456789.") == std::string_view::npos;
}

bool is_loopback_host(std::string_view host) { return host == "localhost" || is_loopback(host); }

// A proxy that sends no such field differs from the machine itself only in the host that is asked for.
bool came_through_proxy(const HttpRequest& request) {
  return request.headers.contains("forwarded") || request.headers.contains("x-forwarded-for") ||
         request.headers.contains("x-forwarded-host") || request.headers.contains("x-real-ip") ||
         request.headers.contains("via");
}

bool is_read(const HttpRequest& request) { return request.method == "GET" || request.method == "HEAD"; }

bool is_feed(std::string_view path) { return path == "/calendar.ics" || path == "/metrics"; }

// Files that hold no data of the brewer's.
bool is_page(std::string_view path) {
  return path == "/" || path == "/favicon.ico" || path == "/service-worker.js" || path.starts_with("/page/");
}

// Whether the request was not caused by a page of another site.
bool from_own_page(const HttpRequest& request) {
  const std::string_view site = field(request, "sec-fetch-site");
  if (!site.empty() && site != "same-origin" && site != "none") return false;
  const std::string_view origin = field(request, "origin");
  if (origin.empty()) return true;
  const std::size_t scheme = origin.find("://");
  return scheme != std::string_view::npos &&
         lower_case(origin.substr(scheme + 3)) == lower_case(field(request, "host"));
}

// A page of another site may link here, but not embed anything from here.
bool used_by_foreign_page(const HttpRequest& request) {
  const std::string_view site = field(request, "sec-fetch-site");
  if (site.empty() || site == "same-origin" || site == "none") return false;
  return field(request, "sec-fetch-mode") != "navigate" || field(request, "sec-fetch-dest") != "document";
}

// What a form of another site cannot send without a preflight request.
bool is_deliberate(const HttpRequest& request) {
  const std::string type =
      lower_case(std::string_view(request.content_type).substr(0, request.content_type.find(';')));
  return type == "application/json" || field(request, "x-gylekeeper") == "1";
}

std::optional<std::string_view> after_scheme(std::string_view authorization, std::string_view scheme) {
  if (authorization.size() <= scheme.size() || lower_case(authorization.substr(0, scheme.size())) != scheme) {
    return std::nullopt;
  }
  std::string_view rest = authorization.substr(scheme.size());
  if (!rest.starts_with(' ')) return std::nullopt;
  while (rest.starts_with(' ')) rest.remove_prefix(1);
  return rest;
}

// The password of "USER:PASSWORD" in base64; an empty one when it is not that.
std::string basic_password(std::string_view base64) {
  if (base64.empty() || base64.size() > 4096 || base64.size() % 4 != 0) return "";
  std::string text(base64.size() / 4 * 3, '\0');
  const int size =
      EVP_DecodeBlock(reinterpret_cast<unsigned char*>(text.data()),
                      reinterpret_cast<const unsigned char*>(base64.data()), static_cast<int>(base64.size()));
  if (size < 0) return "";
  const auto padding = static_cast<std::size_t>(std::count(base64.end() - 2, base64.end(), '='));
  text.resize(static_cast<std::size_t>(size) - padding);
  const std::size_t colon = text.find(':');
  return colon == std::string::npos ? "" : text.substr(colon + 1);
}

// Every cookie with the name of ours: another site of the same host name can plant one beside it.
std::vector<std::string_view> sessions_in(const HttpRequest& request) {
  std::vector<std::string_view> found;
  std::string_view cookies = field(request, "cookie");
  while (!cookies.empty()) {
    const std::size_t end = std::min(cookies.find(';'), cookies.size());
    std::string_view pair = cookies.substr(0, end);
    cookies.remove_prefix(std::min(end + 1, cookies.size()));
    while (pair.starts_with(' ')) pair.remove_prefix(1);
    if (pair.starts_with(kCookie) && pair.substr(kCookie.size()).starts_with('=')) {
      found.push_back(pair.substr(kCookie.size() + 1));
    }
  }
  return found;
}

std::string cookie(const HttpRequest& request, std::string_view session, std::string_view age) {
  std::string text = std::string(kCookie) + "=" + std::string(session) +
                     "; Path=/; HttpOnly; SameSite=Strict; Max-Age=" + std::string(age);
  if (request.secure || field(request, "x-forwarded-proto") == "https") text += "; Secure";
  return text;
}

HttpResponse too_often() {
  HttpResponse answer = problem(429, "the wrong token was given too often; wait a minute and try again");
  answer.headers.emplace_back("Retry-After", "60");
  return answer;
}

HttpResponse wrong_token(std::string_view challenge) {
  HttpResponse answer = problem(401,
                                "this is not the token; it is in the file that token_file in [page] of "
                                "gylekeeper.toml names");
  answer.headers.emplace_back("WWW-Authenticate", std::string(challenge));
  return answer;
}

HttpResponse signing_in_is_off() {
  return problem(
      403,
      "acts from the page are not allowed here; to allow them, name a file that holds a token of your "
      "own in gylekeeper.toml, under [page]: token_file = \"/etc/gylekeeper/page-token\"");
}

HttpResponse answer_of(bool signed_in, int status = 200) {
  return json_response({{"signed_in", signed_in}}, status);
}

}  // namespace

bool is_loopback(std::string_view address) {
  return address == "::1" || (address.starts_with("127.") && is_numeric(address));
}

std::vector<std::pair<std::string, std::string>> security_headers() {
  return {
      {"Content-Security-Policy",
       "default-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'; object-src 'none'"},
      {"X-Content-Type-Options", "nosniff"},
      {"X-Frame-Options", "DENY"},
      {"Referrer-Policy", "no-referrer"},
      {"Cross-Origin-Opener-Policy", "same-origin"},
      {"Cross-Origin-Resource-Policy", "same-origin"}};
}

Access::Access(Rules rules, std::function<std::string()> new_session)
    : rules_(std::move(rules)), new_session_(std::move(new_session)), token_digest_(digest(rules_.token)) {
  for (const std::string& host : rules_.hosts) names_.insert(host_in(host));
  names_.erase("");
}

bool Access::host_is_ours(const HttpRequest& request) const {
  const std::string host = host_in(field(request, "host"));
  if (host.empty()) return false;
  if (is_loopback_host(host) || host == rules_.address || names_.contains(host)) return true;
  return !is_loopback(rules_.address) && is_numeric(host);
}

Access::Claim Access::try_token(std::string_view token, std::string_view peer, Time now) {
  if (rules_.token.empty()) return Claim::wrong;
  // The right token always counts: guesses of others do not lock the brewer out. A token is too long to be
  // guessed (page_server.cpp), at any rate of tries.
  const std::string given = digest(token);
  if (CRYPTO_memcmp(given.data(), token_digest_.data(), given.size()) == 0) return Claim::right;
  return attempts_.failed(peer, now) ? Claim::wrong : Claim::too_often;
}

Access::Claim Access::token_in_header(const HttpRequest& request, Time now) {
  const std::string_view authorization = field(request, "authorization");
  if (authorization.empty()) return Claim::none;
  if (const auto token = after_scheme(authorization, "bearer")) return try_token(*token, request.peer, now);
  const auto basic = after_scheme(authorization, "basic");
  if (basic && is_feed(path_of(request)) && is_read(request)) {
    return try_token(basic_password(*basic), request.peer, now);
  }
  return Claim::none;
}

void Access::forget_old(Time now) {
  std::erase_if(sessions_, [now](const auto& entry) { return now - entry.second > kSessionIdle; });
}

bool Access::in_session(const HttpRequest& request, Time now) {
  const std::vector<std::string_view> names = sessions_in(request);
  if (names.empty()) return false;
  forget_old(now);
  bool known = false;
  for (const std::string_view name : names) {
    const auto found = sessions_.find(digest(name));
    if (found == sessions_.end()) continue;
    found->second = std::max(found->second, now);
    known = true;
  }
  return known;
}

Access::Verdict Access::judge(const HttpRequest& request, Time now) {
  const auto refused = [](HttpResponse answer) { return Verdict{.refusal = std::move(answer)}; };
  if (!host_is_ours(request)) {
    return refused(
        problem(421,
                "this daemon does not go by the name that it was asked for; add the name to hosts in "
                "[page] of gylekeeper.toml if it is yours"));
  }
  if (used_by_foreign_page(request))
    return refused(problem(403, "pages of other sites may not use this one"));
  if (!is_read(request) && !from_own_page(request)) {
    return refused(problem(403, "only the daemon's own page may do this from a browser"));
  }

  const std::string_view path = path_of(request);
  if (is_page(path) && is_read(request)) return {};

  const Claim claim = token_in_header(request, now);
  if (claim == Claim::too_often) return refused(too_often());
  if (claim == Claim::wrong && !rules_.token.empty()) return refused(wrong_token("Bearer"));
  const bool session = claim != Claim::right && in_session(request, now);
  Verdict verdict{.signed_in = session || claim == Claim::right};

  if (!is_read(request)) {
    // A browser sends the session whoever causes the request; only our own page, or a program, knows a token.
    if ((session || path == "/session") && !is_deliberate(request)) {
      verdict.refusal =
          problem(403, "the content type must be application/json, or the field X-Gylekeeper: 1 be sent");
      return verdict;
    }
    if (path == "/session" || verdict.signed_in) return verdict;
    if (rules_.token.empty()) return refused(signing_in_is_off());
    HttpResponse answer = problem(401, "sign in with the token first");
    answer.headers.emplace_back("WWW-Authenticate", "Bearer");
    return refused(std::move(answer));
  }

  const bool at_home = is_loopback(request.peer) && is_loopback_host(host_in(field(request, "host"))) &&
                       !came_through_proxy(request);
  if (verdict.signed_in || at_home || path == "/session") return verdict;
  if (rules_.token.empty()) return refused(signing_in_is_off());
  HttpResponse answer = problem(401, "sign in with the token first");
  // A browser would ask for a password itself; our page does that better.
  answer.headers.emplace_back("WWW-Authenticate",
                              is_feed(path) ? "Basic realm=\"Gylekeeper\", charset=\"UTF-8\"" : "Bearer");
  return refused(std::move(answer));
}

HttpResponse Access::session(const HttpRequest& request, const Verdict& verdict, Time now) {
  if (request.method == "GET") return answer_of(verdict.signed_in);
  if (request.method == "DELETE") {
    for (const std::string_view name : sessions_in(request)) sessions_.erase(digest(name));
    HttpResponse answer = answer_of(false);
    answer.headers.emplace_back("Set-Cookie", cookie(request, "", "0"));
    return answer;
  }
  if (request.method != "POST") return wrong_method("GET, POST, DELETE");
  if (rules_.token.empty()) return signing_in_is_off();
  const auto body = nlohmann::json::parse(request.body, nullptr, false);
  if (!body.is_object() || !body.contains("token") || !body["token"].is_string()) {
    return problem(400, "the body must be {\"token\": \"...\"}");
  }
  switch (try_token(body["token"].get<std::string>(), request.peer, now)) {
    case Claim::too_often:
      return too_often();
    case Claim::right:
      break;
    default:
      return wrong_token("Bearer");
  }
  forget_old(now);
  if (sessions_.size() >= kSessionsKept) {
    sessions_.erase(std::min_element(sessions_.begin(), sessions_.end(),
                                     [](const auto& a, const auto& b) { return a.second < b.second; }));
  }
  const std::string name = new_session_();
  sessions_.emplace(digest(name), now);
  HttpResponse answer = answer_of(true, 201);
  answer.headers.emplace_back("Set-Cookie",
                              cookie(request, name, "34560000"));  // when it ends is decided here
  return answer;
}

std::string new_session_name() {
  std::array<unsigned char, 32> bytes{};
  if (RAND_bytes(bytes.data(), static_cast<int>(bytes.size())) != 1)
    throw std::runtime_error("no randomness");
  std::string name;
  for (const unsigned char byte : bytes) name += fmt::format("{:02x}", byte);
  return name;
}

}  // namespace gyle
