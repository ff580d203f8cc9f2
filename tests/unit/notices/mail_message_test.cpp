#include "notices/mail_message.h"

#include <catch2/catch.hpp>
#include <fstream>

#include "base/text.h"
#include "support/made_up_notice.h"
#include "support/places.h"
#include "support/process.h"
#include "support/python.h"
#include "support/reference.h"
#include "support/temp_dir.h"

using namespace gyle;
using nlohmann::json;

namespace {

const std::string kFrom = "cellar@example.org";
const std::vector<std::string> kTo{"brewer@example.org", "mate@example.net"};

// The messages as read by Python's parser (RFC 5322, 2045 to 2047 and 2231).
json read_by_python(const std::vector<std::string>& messages) {
  const test::TempDir dir;
  std::vector<std::string> command{test::python(), gyle::test::source_dir() + "/tests/support/read_mail.py"};
  for (std::size_t i = 0; i < messages.size(); ++i) {
    const auto file = dir / std::to_string(i);
    std::ofstream(file, std::ios::binary) << messages[i];
    command.push_back(file);
  }
  test::Process python(command, dir / "out");
  const auto code = python.wait();
  std::ifstream out(dir / "out");
  const std::string text{std::istreambuf_iterator<char>(out), {}};
  INFO(text);
  REQUIRE(code == 0);
  return json::parse(text);
}

}  // namespace

TEST_CASE("base64 agrees with RFC 4648 section 10") {
  const auto [bytes, expected] = GENERATE(table<const char*, const char*>({{"", ""},
                                                                           {"f", "Zg=="},
                                                                           {"fo", "Zm8="},
                                                                           {"foo", "Zm9v"},
                                                                           {"foob", "Zm9vYg=="},
                                                                           {"fooba", "Zm9vYmE="},
                                                                           {"foobar", "Zm9vYmFy"}}));
  CHECK(base64(bytes) == expected);
}

TEST_CASE("a mail parser reads the fields of the notice") {
  Notice notice = test::made_up_notice();
  const json mail = read_by_python({mail_message(notice, kFrom, kTo, true)})[0];
  CHECK(mail["subject"] == notice.title);
  CHECK(mail["from"] == kFrom);
  CHECK(mail["to"] == kTo);
  CHECK(mail["date"] == "2026-03-01T18:30:00+00:00");
  CHECK(mail["message_id"] == "<7-12-raised@example.org>");
  CHECK(mail["auto_submitted"] == "auto-generated");
  CHECK(mail["type"] == "text/plain");
  CHECK(mail["text"] == notice.text + "\n");
  CHECK(mail["attachments"].empty());
  CHECK(mail["defects"].empty());
}

TEST_CASE("the curve is attached when there is one and it is configured") {
  Notice notice = test::made_up_notice();
  notice.picture_svg =
      "<svg xmlns=\"http://www.w3.org/2000/svg\"><!-- \xc3\xa4 " + std::string(500, 'x') + "--></svg>";
  const json mails =
      read_by_python({mail_message(notice, kFrom, kTo, true), mail_message(notice, kFrom, kTo, false)});
  CHECK(mails[0]["type"] == "multipart/mixed");
  REQUIRE(mails[0]["attachments"].size() == 1);
  CHECK(mails[0]["attachments"][0]["type"] == "image/svg+xml");
  CHECK(mails[0]["attachments"][0]["name"] == "curve.svg");
  CHECK(mails[0]["attachments"][0]["content"] == notice.picture_svg);
  CHECK(mails[0]["text"] == notice.text + "\n");
  CHECK(mails[0]["defects"].empty());
  CHECK(mails[1]["attachments"].empty());
}

TEST_CASE("any title or text survives, keeps lines short and adds no header") {
  const std::vector<std::string> odd{
      "",
      "Märzen: fällt nicht mehr",
      std::string(80, 'a') + " " + std::string(80, 'b'),
      "=?utf-8?B?eA==?= looks encoded",
      "trailing space ",
      "= equals = and . dots",
      ".",
      ".\n.\nfrom\nFrom here",
      "\xf0\x9f\x8d\xba\xf0\x9f\x8d\xba\xf0\x9f\x8d\xba\xf0\x9f\x8d\xba\xf0\x9f\x8d\xba\xf0\x9f\x8d\xba\xf0"
      "\x9f\x8d\xba"
      "\xf0\x9f\x8d\xba\xf0\x9f\x8d\xba\xf0\x9f\x8d\xba\xf0\x9f\x8d\xba\xf0\x9f\x8d\xba\xf0\x9f\x8d\xba",
      "x\r\nBcc: everyone@example.com\r\n\r\nbody",
      "x\nBcc: everyone@example.com",
      "--=_gylekeeper--",
      "a\tb  \nc \n\n\nd",
  };
  std::vector<std::string> messages;
  for (const std::string& text : odd) {
    Notice notice = test::made_up_notice();
    notice.title = notice.text = text;
    notice.id = "n" + text.substr(0, 12);
    notice.picture_svg = "<svg/>";
    messages.push_back(mail_message(notice, kFrom, kTo, true));
  }
  const json mails = read_by_python(messages);
  const json usual = read_by_python({mail_message(test::made_up_notice(), kFrom, kTo, false)})[0];
  std::vector<std::string> ids;
  for (std::size_t i = 0; i < odd.size(); ++i) {
    CAPTURE(odd[i], messages[i]);
    const json& mail = mails[i];
    std::string title = odd[i];
    std::string text;
    for (char& c : title) {
      if (static_cast<unsigned char>(c) < 0x20) c = ' ';
    }
    for (const char c : odd[i]) {
      if (c != '\r') text += c;
    }
    // Readers may drop white space around a subject.
    CHECK(trimmed(mail["subject"].get<std::string>()) == trimmed(title));
    CHECK(mail["text"] == text + "\n");
    CHECK(mail["defects"].empty());
    CHECK(mail["longest_line"].get<int>() <= 78);  // RFC 5322 section 2.1.1
    CHECK(mail["bare_line_ends"] == 0);
    CHECK(mail["attachments"].size() == 1);
    CHECK(mail["headers"].size() == usual["headers"].size() - 1);  // the encoding is in the part
    ids.push_back(mail["message_id"]);
  }
  std::sort(ids.begin(), ids.end());
  CHECK(std::adjacent_find(ids.begin(), ids.end()) == ids.end());
}

TEST_CASE("the same notice gives the same message") {
  CHECK(mail_message(test::made_up_notice(), kFrom, kTo, true) ==
        mail_message(test::made_up_notice(), kFrom, kTo, true));
}

TEST_CASE("dates are correct at the ends of months and years") {
  Notice notice = test::made_up_notice();
  const auto* time = GENERATE("2024-02-29T23:59:59Z", "2026-12-31T00:00:00Z", "1999-01-01T12:00:01Z");
  notice.time = parse_rfc3339(time).value();
  const json mail = read_by_python({mail_message(notice, kFrom, kTo, true)})[0];
  CHECK(mail["date"] == std::string(time).substr(0, 19) + "+00:00");
}

TEST_CASE("mail addresses are recognised") {
  const auto [text, good] = GENERATE(table<const char*, bool>({{"brewer@example.org", true},
                                                               {"first.last+beer@mail.example.org", true},
                                                               {"root@localhost", true},
                                                               {"", false},
                                                               {"brewer", false},
                                                               {"@example.org", false},
                                                               {"brewer@", false},
                                                               {"a@b@c", false},
                                                               {"Brewer <brewer@example.org>", false},
                                                               {"a b@example.org", false},
                                                               {"a@example.org,b@example.org", false},
                                                               {"a@example.org\r\nRCPT TO:<x@y>", false},
                                                               {"a@ex>ample.org", false},
                                                               {"m\xc3\xa4rzen@example.org", false}}));
  CAPTURE(text);
  CHECK(is_mail_address(text) == good);
}

TEST_CASE("the mail server has its default port") {
  // RFC 8314 section 3.3 and RFC 6409 section 3.1.
  EmailSettings email;
  email.from = kFrom;
  email.to = kTo;
  email.server = "smtp://mail.example.org";
  CHECK(check_email(email).value().shown() == "smtp://mail.example.org:587");
  email.server = "smtps://mail.example.org/";
  CHECK(check_email(email).value().shown() == "smtps://mail.example.org:465");
  email.server = "smtp://mail.example.org:25";
  CHECK(check_email(email).value().shown() == "smtp://mail.example.org:25");
  email.server = "smtp://mail.example.org/name";
  CHECK(check_email(email).error().code == Errc::malformed);
  email.server = "mail.example.org";
  CHECK(check_email(email).error().code == Errc::malformed);
  email.server = "smtp://mail.example.org";
  email.to = {"nobody"};
  CHECK(check_email(email).error().message.find("\"nobody\"") != std::string::npos);
  email.to.clear();
  CHECK(check_email(email).error().code == Errc::missing);
}
