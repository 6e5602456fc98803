using Microsoft.AspNetCore.Mvc;

namespace AftercarePortal.Web.Features.Intake;

/// <summary>The private link itself: goes on where the person left.</summary>
internal sealed class ResumeModel(OpenIntake open) : IntakePage(open)
{
    public IActionResult OnGet() => GoOn();
}
