#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace gyle {

// A server's reply as one line for a person: "the server answered 401 Unauthorized: token missing".
//   code      of HTTP or SMTP
//   reason    the server's phrase for it; empty: the standard phrase, if there is one
//   body      the text of the reply; markup is dropped
//   secrets   replaced where the server repeats them
//   tests     unit/notices/answer_sentence_test.cpp
std::string answer_sentence(int code, std::string_view reason, std::string_view body,
                            const std::vector<std::string>& secrets);

// `text` as one printable line of at most 200 bytes. Secrets of 4 bytes and more become "(secret)".
std::string one_line(std::string_view text, const std::vector<std::string>& secrets);

}  // namespace gyle
