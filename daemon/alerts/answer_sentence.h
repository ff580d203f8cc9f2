#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace gyle {

// What a far end said, as one line for a person: "the server answered 401 Unauthorized: token missing".
//   code      of HTTP or SMTP
//   reason    what it calls that; empty: the usual name, if there is one
//   body      what else it said. Markup is left out: it is no sentence
//   secrets   what must not be seen, should the far end repeat it
std::string answer_sentence(int code, std::string_view reason, std::string_view body,
                            const std::vector<std::string>& secrets);

// `text` as one printable line of at most 200 bytes, each secret of at least 4 bytes in it replaced by
// "(secret)".
std::string one_line(std::string_view text, const std::vector<std::string>& secrets);

}  // namespace gyle
