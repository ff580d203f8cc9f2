#include "alerts/far_answer.h"

#include <catch2/catch.hpp>

using namespace gyle;
using Outcome = Delivered::Outcome;
using Failure = FarAnswer::Failure;

namespace {

const FarAddress kWeb = parse_far_address("https://alerts.example.org/hook/s3cret", {"https"}).value();
const FarAddress kMail = parse_far_address("smtp://mail.example.org:587", {"smtp"}).value();

FarAnswer status(int code) {
  FarAnswer answer;
  answer.code = code;
  return answer;
}

FarAnswer failed(Failure failure, int code = 0) {
  FarAnswer answer = status(code);
  answer.failure = failure;
  answer.failure_text = "because";
  return answer;
}

}  // namespace

TEST_CASE("what a status of HTTP means for a delivery") {
  // RFC 9110 section 15: 2xx is success, 3xx needs more from us, 4xx is our fault, 5xx the server's; 408, 425
  // (RFC 8470) and 429 (RFC 6585) ask to come again.
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

TEST_CASE("a status that has come counts, however the rest of the answer went") {
  FarAnswer answer = failed(Failure::network, 200);
  CHECK(judge_http(answer, kWeb, {}).outcome == Outcome::arrived);
  answer.code = 400;
  CHECK(judge_http(answer, kWeb, {}).outcome == Outcome::refused);
}

TEST_CASE("the far end may ask to wait, for a day at most") {
  FarAnswer answer = status(429);
  CHECK_FALSE(judge_http(answer, kWeb, {}).not_before.has_value());
  answer.retry_after = seconds(90);
  CHECK(judge_http(answer, kWeb, {}).not_before == Duration(seconds(90)));
  answer.retry_after = days(300);
  CHECK(judge_http(answer, kWeb, {}).not_before == days(1));
  answer.code = 404;
  CHECK_FALSE(judge_http(answer, kWeb, {}).not_before.has_value());
}

TEST_CASE("a redirection names the new place, and nothing that may be a key") {
  FarAnswer answer = status(301);
  answer.moved_to = "https://new.example.org/hook/n3w-secret";
  CHECK(judge_http(answer, kWeb, {}).answer ==
        "the server answered 301 Moved Permanently: the address has moved to https://new.example.org; "
        "redirections "
        "are not followed");
  answer.moved_to = "https://alerts.example.org/elsewhere";
  CHECK(judge_http(answer, kWeb, {}).answer ==
        "the server answered 301 Moved Permanently: the address has moved to another path of this server; "
        "redirections are not followed");
}

TEST_CASE("failures of the network and of trust read as sentences") {
  CHECK(judge_http(failed(Failure::network), kWeb, {}).answer ==
        "no answer from https://alerts.example.org: because");
  const Delivered untrusted = judge_http(failed(Failure::untrusted), kWeb, {});
  CHECK(untrusted.outcome == Outcome::later);
  CHECK(untrusted.answer ==
        "the certificate of https://alerts.example.org is not trusted, nothing was sent: because");
  CHECK(judge_http(failed(Failure::stopped), kWeb, {}).outcome == Outcome::later);
  CHECK(judge_http(failed(Failure::unusable), kWeb, {}).outcome == Outcome::refused);
}

TEST_CASE("what a reply of SMTP means for a delivery") {
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
      {Failure::network, 354, Outcome::later},  // broken off after the go-ahead
      {Failure::network, 0, Outcome::later},
      {Failure::login, 535, Outcome::refused},
      {Failure::login, 454, Outcome::later},  // RFC 4954 section 6: a temporary failure of the login
      {Failure::login, 250, Outcome::refused},
      {Failure::no_tls, 250, Outcome::later},
      {Failure::untrusted, 220, Outcome::later},
      {Failure::stopped, 354, Outcome::later},
  }));
  CAPTURE(row.code, static_cast<int>(row.failure));
  CHECK(judge_smtp(failed(row.failure, row.code), kMail, {}).outcome == row.outcome);
}

TEST_CASE("a refused login says so, without the password") {
  FarAnswer answer = failed(Failure::login, 535);
  answer.text = "no such user with passw0rd";
  CHECK(judge_smtp(answer, kMail, {"passw0rd"}).answer ==
        "the login failed: the server answered 535: no such user with (secret)");
}

TEST_CASE("a message that some addressees do not get has arrived, and says so") {
  FarAnswer answer = status(250);
  answer.text = "queued";
  answer.objection = "550 no such mailbox";
  const Delivered delivered = judge_smtp(answer, kMail, {});
  CHECK(delivered.outcome == Outcome::arrived);
  CHECK(delivered.answer == "the server answered 250: queued; of an addressee it said 550 no such mailbox");
}
