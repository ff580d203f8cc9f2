#include "batch_lines.h"

#include <memory>

#include "answer_lines.h"
#include "control/request_target.h"

namespace gyle {

Verb batch_lines_verb(std::string name, std::string about, std::string what) {
  const auto batch = std::make_shared<std::string>();
  const std::string example = "gylekeeper " + name + " left";
  return {.name = std::move(name),
          .about = std::move(about),
          .arguments = {batch_argument(batch.get())},
          .examples = {example},
          .run = [batch, what = std::move(what)](const CommonOptions& common) {
            return show_pages(common, "/v1/batches/" + percent_encoded(*batch) + "/" + what);
          }};
}

}  // namespace gyle
