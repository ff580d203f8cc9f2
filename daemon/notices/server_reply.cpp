#include "notices/server_reply.h"

#include <fmt/format.h>

#include <algorithm>

#include "base/http_status.h"
#include "base/text.h"

namespace gyle {
namespace {

constexpr std::size_t kLongest = 200;
constexpr std::size_t kShortestSecret = 4;

bool is_blank(char c) { return static_cast<unsigned char>(c) <= ' ' || c == 0x7F; }

}  // namespace

std::string one_line(std::string_view text, const std::vector<std::string>& secrets) {
  std::string shown(text);
  // Longest first, as one may be part of another.
  std::vector<std::string> hidden = secrets;
  std::sort(hidden.begin(), hidden.end(), [](const auto& a, const auto& b) { return a.size() > b.size(); });
  for (const std::string& secret : hidden) {
    if (secret.size() < kShortestSecret) continue;
    for (std::size_t at = 0; (at = shown.find(secret, at)) != std::string::npos;)
      shown.replace(at, secret.size(), "(secret)");
  }
  std::string line;
  for (const char c : shown) {
    if (!is_blank(c)) {
      line += c;
    } else if (!line.empty() && line.back() != ' ') {
      line += ' ';
    }
  }
  if (!line.empty() && line.back() == ' ') line.pop_back();
  if (line.size() <= kLongest) return displayable(line, kLongest);
  return displayable(line, kLongest - 3) + "...";
}

std::string answer_sentence(int code, std::string_view reason, std::string_view body,
                            const std::vector<std::string>& secrets) {
  std::string said = fmt::format("the server answered {}", code);
  if (reason.empty()) reason = http_reason(code);
  if (!reason.empty()) said += fmt::format(" {}", reason);
  const auto begin = body.find_first_not_of(" \t\r\n");
  if (begin != body.npos && body[begin] != '<') said += fmt::format(": {}", body.substr(begin));
  return one_line(said, secrets);
}

namespace {

using Outcome = Delivered::Outcome;
using Failure = ServerReply::Failure;

Delivered without_answer(const ServerReply& answer, const Endpoint& address,
                         const std::vector<std::string>& secrets) {
  const std::string place = address.shown();
  const auto said = [&](Outcome outcome, const std::string& sentence) {
    return Delivered{outcome, one_line(sentence, secrets), std::nullopt};
  };
  switch (answer.failure) {
    case Failure::untrusted:
      return said(Outcome::later, fmt::format("the certificate of {} is not trusted, nothing was sent: {}",
                                              place, answer.failure_text));
    case Failure::no_tls:
      return said(Outcome::later,
                  fmt::format("{} offers no encryption, nothing was sent: {}", place, answer.failure_text));
    case Failure::login:
      return said(Outcome::refused, fmt::format("login to {} failed: {}", place, answer.failure_text));
    case Failure::stopped:
      return said(Outcome::later, fmt::format("stopped before {} answered", place));
    case Failure::unusable:
      return said(Outcome::refused, fmt::format("{} cannot be used: {}", place, answer.failure_text));
    case Failure::none:
    case Failure::network:
      break;
  }
  return said(Outcome::later, fmt::format("no answer from {}: {}", place, answer.failure_text));
}

std::string moved_sentence(const ServerReply& answer, const Endpoint& address) {
  const auto target = parse_endpoint(answer.moved_to, {"http", "https"});
  if (!target) return "the address has moved; redirects are not followed";
  if (target.value().shown() == address.shown())
    return "the address has moved to another path of this server; redirects are not followed";
  return fmt::format("the address has moved to {}; redirects are not followed", target.value().shown());
}

}  // namespace

Delivered judge_http(const ServerReply& answer, const Endpoint& address,
                     const std::vector<std::string>& secrets) {
  const int code = answer.code;
  if (code < 200) return without_answer(answer, address, secrets);
  const bool moved = code >= 300 && code < 400 && !answer.moved_to.empty();
  Delivered delivered{
      Outcome::refused,
      answer_sentence(code, answer.reason, moved ? moved_sentence(answer, address) : answer.text, secrets),
      std::nullopt};
  if (code < 300) {
    delivered.outcome = Outcome::arrived;
  } else if (code == 408 || code == 425 || code == 429 || code >= 500) {
    delivered.outcome = Outcome::later;
    if (answer.retry_after)
      delivered.not_before = std::clamp<Duration>(*answer.retry_after, Duration(0), days(1));
  }
  return delivered;
}

Delivered judge_smtp(const ServerReply& answer, const Endpoint& address,
                     const std::vector<std::string>& secrets) {
  const bool failed = answer.failure != Failure::none;
  if (failed &&
      (answer.code < 400 || answer.failure == Failure::stopped || answer.failure == Failure::untrusted))
    return without_answer(answer, address, secrets);
  std::string sentence = answer_sentence(answer.code, answer.reason, answer.text, secrets);
  if (!failed) {
    if (!answer.objection.empty()) sentence += "; for one recipient: " + answer.objection;
    return {Outcome::arrived, one_line(sentence, secrets), std::nullopt};
  }
  if (answer.failure == Failure::login) sentence = "the login failed: " + sentence;
  return {answer.code < 500 ? Outcome::later : Outcome::refused, one_line(sentence, secrets), std::nullopt};
}

}  // namespace gyle
