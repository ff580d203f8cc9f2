#include "wording/batch_table.h"

#include "wording/fitted_text.h"
#include "wording/format.h"
#include "wording/text_table.h"

namespace gyle {

std::vector<std::string> batch_table(std::span<const ListedBatch> batches, const DisplaySettings& display) {
  constexpr std::size_t kName = 32, kShort = 20;  // columns
  std::vector<std::vector<std::string>> rows{
      {"No.", "Name", "Vessel", "Pitched", "Packaged", "From", "To", "Attenuation", "Yeast"}};
  for (const ListedBatch& batch : batches) {
    const BatchView& view = *batch.view;
    const auto original =
        batch.spec->original_gravity ? batch.spec->original_gravity->value() : view.original_gravity;
    rows.push_back(
        {std::to_string(batch.id), fitted(batch.spec->name, kName), fitted(batch.vessel, kShort),
         show_date(batch.spec->pitched, display), batch.packaged ? show_date(*batch.packaged, display) : "",
         original ? show_gravity(*original, display) : "",
         view.gravity ? show_gravity(view.gravity->value, display) : "",
         view.attenuation ? show_percent(*view.attenuation) : "", fitted(batch.spec->yeast.name, kName)});
  }
  return text_table(rows);
}

}  // namespace gyle
