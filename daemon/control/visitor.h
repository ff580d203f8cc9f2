#pragma once

namespace gyle {

// Who asks. Whoever can open the control socket may do everything.
struct Visitor {
  bool signed_in = true;
  bool read_only = false;  // acts are refused to everybody, signed in or not
};

}  // namespace gyle
