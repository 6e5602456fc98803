using AftercarePortal.Web.Features.Staff;
using AftercarePortal.Web.Tests.Staff;
using Xunit;

namespace AftercarePortal.Web.Tests.Outcomes;

/// <summary>A clinic with twelve invented courses, all through the portal: eleven as wished, one treated elsewhere. Nothing was learned between them.</summary>
public sealed class Clinic_with_cases : IAsyncLifetime
{
    /// <summary>Of eleven that can be compared so many lie inside: 0.50 mL a side does, 4.00 does not.</summary>
    public const int Inside = 9, Compared = 11;

    internal Portal_with_staff Portal { get; private set; } = null!;

    internal Guid Clinic { get; private set; }

    internal HttpClient Lead { get; private set; } = null!;

    internal HttpClient Clinician { get; private set; } = null!;

    internal List<Course_of> Courses { get; } = [];

    public async Task InitializeAsync()
    {
        Portal = await Portal_with_staff.Open();
        (Clinic, _) = await Portal.Clinic("Wrenfold Clinic", 0);
        Lead = await Portal.SignedIn(Clinic, "lea", StaffRole.PracticeLead);
        Clinician = await Portal.SignedIn(Clinic, "mara");
        for (var i = 0; i <= Compared; i++)
        {
            var course = new Course_of(Portal, Clinic, Clinician, $"Person {(char)('A' + i)}", i);
            await course.Quoted(["jaw-body"]);
            await course.Invited();
            var each = i < Inside ? 0.50 : 4.00;
            if (i == Compared) await course.Treated(("Chin", "Midline", 1.0));
            else if (i % 2 == 0) await course.JawTreated(each);
            else await course.Treated(Lead, "CaHA filler", ("JawBody", "Left", each), ("JawBody", "Right", each));
            Courses.Add(course);
        }
    }

    public async Task DisposeAsync() => await Portal.DisposeAsync();
}
