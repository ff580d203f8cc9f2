#include "notices/server_reply.h"

#include <catch2/catch.hpp>

#include "base/text.h"

using namespace gyle;
using Outcome = Delivered::Outcome;
using Failure = ServerReply::Failure;

namespace {

const Endpoint kWeb = parse_endpoint("https://alerts.example.org/hook/s3cret", {"https"}).value();
const Endpoint kMail = parse_endpoint("smtp://mail.example.org:587", {"smtp"}).value();

ServerReply status(int code) {
  ServerReply answer;
  answer.code = code;
  return answer;
}

ServerReply failed(Failure failure, int code = 0) {
  ServerReply answer = status(code);
  answer.failure = failure;
  answer.failure_text = "because";
  return answer;
}

}  // namespace

TEST_CASE("HTTP statuses are classified") {
  // RFC 9110 section 15: 2xx is success, 3xx needs further action, 4xx is a client error, 5xx a server error;
  // 408, 425 (RFC 8470) and 429 (RFC 6585) allow a retry.
  const auto [code, outcome] = GENERATE(table<int, Outcome>({
      {200, Outcome::arrived}, {202, Outcome::arrived}, {204, Outcome::arrived}, {301, Outcome::refused},
      {304, Outcome::refused}, {307, Outcome::refused}, {400, Outcome::refused}, {401, Outcome::refused},
      {403, Outcome::refused}, {404, Outcome::refused}, {408, Outcome::later},   {410, Outcome::refused},
      {413, Outcome::refused}, {422, Outcome::refused}, {425, Outcome::later},   {429, Outcome::later},
      {500, Outcome::later},   {502, Outcome::later},   {503, Outcome::later},   {504, Outcome::later},
      {0, Outcome::later},     {100, Outcome::later},
  }));
  CAPTURE(code);
  CHECK(judge_http(status(code), kWeb, {}).outcome == outcome);
}

TEST_CASE("a received status counts, even if the rest failed") {
  ServerReply answer = failed(Failure::network, 200);
  CHECK(judge_http(answer, kWeb, {}).outcome == Outcome::arrived);
  answer.code = 400;
  CHECK(judge_http(answer, kWeb, {}).outcome == Outcome::refused);
}

TEST_CASE("Retry-After is used, up to a day") {
  ServerReply answer = status(429);
  CHECK_FALSE(judge_http(answer, kWeb, {}).not_before.has_value());
  answer.retry_after = seconds(90);
  CHECK(judge_http(answer, kWeb, {}).not_before == Duration(seconds(90)));
  answer.retry_after = days(300);
  CHECK(judge_http(answer, kWeb, {}).not_before == days(1));
  answer.code = 404;
  CHECK_FALSE(judge_http(answer, kWeb, {}).not_before.has_value());
}

TEST_CASE("a redirect names the new host without path and query") {
  ServerReply answer = status(301);
  answer.moved_to = "https://new.example.org/hook/n3w-secret";
  CHECK(judge_http(answer, kWeb, {}).answer ==
        "the server answered 301 Moved Permanently: the address has moved to https://new.example.org; "
        "redirects are not followed");
  answer.moved_to = "https://alerts.example.org/elsewhere";
  CHECK(judge_http(answer, kWeb, {}).answer ==
        "the server answered 301 Moved Permanently: the address has moved to another path of this server; "
        "redirects are not followed");
}

TEST_CASE("failures of network and certificate are described") {
  CHECK(judge_http(failed(Failure::network), kWeb, {}).answer ==
        "no answer from https://alerts.example.org: because");
  const Delivered untrusted = judge_http(failed(Failure::untrusted), kWeb, {});
  CHECK(untrusted.outcome == Outcome::later);
  CHECK(untrusted.answer ==
        "the certificate of https://alerts.example.org is not trusted, nothing was sent: because");
  CHECK(judge_http(failed(Failure::stopped), kWeb, {}).outcome == Outcome::later);
  CHECK(judge_http(failed(Failure::unusable), kWeb, {}).outcome == Outcome::refused);
}

TEST_CASE("SMTP replies are classified") {
  // RFC 5321 section 4.2.1: 4yz is transient, 5yz permanent.
  struct Row {
    Failure failure;
    int code;
    Outcome outcome;
  };
  const auto row = GENERATE(values<Row>({
      {Failure::none, 250, Outcome::arrived},
      {Failure::network, 421, Outcome::later},
      {Failure::network, 450, Outcome::later},
      {Failure::network, 550, Outcome::refused},
      {Failure::network, 554, Outcome::refused},
      {Failure::network, 354, Outcome::later},  // interrupted after 354
      {Failure::network, 0, Outcome::later},
      {Failure::login, 535, Outcome::refused},
      {Failure::login, 454, Outcome::later},  // RFC 4954 section 6: temporary authentication failure
      {Failure::login, 250, Outcome::refused},
      {Failure::no_tls, 250, Outcome::later},
      {Failure::untrusted, 220, Outcome::later},
      {Failure::stopped, 354, Outcome::later},
  }));
  CAPTURE(row.code, static_cast<int>(row.failure));
  CHECK(judge_smtp(failed(row.failure, row.code), kMail, {}).outcome == row.outcome);
}

TEST_CASE("a refused login is described without the password") {
  ServerReply answer = failed(Failure::login, 535);
  answer.text = "no such user with passw0rd";
  CHECK(judge_smtp(answer, kMail, {"passw0rd"}).answer ==
        "the login failed: the server answered 535: no such user with (secret)");
}

TEST_CASE("a message refused for some recipients has arrived, and they are named") {
  ServerReply answer = status(250);
  answer.text = "queued";
  answer.objection = "550 no such mailbox";
  const Delivered delivered = judge_smtp(answer, kMail, {});
  CHECK(delivered.outcome == Outcome::arrived);
  CHECK(delivered.answer == "the server answered 250: queued; for one recipient: 550 no such mailbox");
}

TEST_CASE("a reply becomes one line") {
  struct Row {
    int code;
    const char* reason;
    const char* body;
    const char* expected;
  };
  const auto row = GENERATE(values<Row>({
      {401, "Unauthorized", "token missing", "the server answered 401 Unauthorized: token missing"},
      {401, "", "", "the server answered 401 Unauthorized"},
      {299, "", "", "the server answered 299"},
      {500, "Oh no", "  two\r\n\tlines \n", "the server answered 500 Oh no: two lines"},
      {404, "", "<!DOCTYPE html><title>404</title>", "the server answered 404 Not Found"},
      {400, "", "\x1b[31mred\x07", "the server answered 400 Bad Request: [31mred"},
      {400, "", "not utf-8 \xff\xfe", "the server answered 400 Bad Request: not utf-8 ??"},
      {535, "", "5.7.8 no", "the server answered 535: 5.7.8 no"},
  }));
  CHECK(answer_sentence(row.code, row.reason, row.body, {}) == row.expected);
}

TEST_CASE("any reply becomes one printable line of at most 200 bytes") {
  std::string body;
  for (int i = 0; i < 2000; ++i) body += static_cast<char>(i * 7 % 256);
  const std::string said = answer_sentence(500, body, body, {});
  CHECK(said.size() <= 200);
  CHECK(is_clean_text(said));
  // Cut between characters, not inside one.
  CHECK(
      is_clean_text(one_line(std::string(std::size_t{150}, 'a') + "ääääääääääääääääääääääääääääääääää", {})));
}

TEST_CASE("a secret that the server repeats is replaced") {
  const std::vector<std::string> secrets{"tok-12345", "tok-12345-long", "", "ab"};
  CHECK(answer_sentence(403, "", "no tok-12345-long, no tok-12345; tab", secrets) ==
        "the server answered 403 Forbidden: no (secret), no (secret); tab");
  // Also where the sentence is cut within it.
  const std::string late = std::string(195, 'x') + "tok-12345";
  CHECK(one_line(late, secrets).find("tok") == std::string::npos);
}
