#include "notices/answer_sentence.h"

#include <catch2/catch.hpp>

#include "base/text.h"

using namespace gyle;

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
