using AftercarePortal.Clinical.Aftercare;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Aftercare;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Rota;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Jobs;
using NodaTime;

namespace AftercarePortal.Demo.Simulation;

/// <summary>The invented clinic of every story: three patients with steps due, two clinicians whose shifts may leave gaps.</summary>
internal static class SimClinic
{
    public const int Patients = 3;
    public const string ClinicNumber = "+12025550100", PageNumber = "+12025550101";
    public static readonly LocalTime QuietFrom = new(21, 0), QuietTo = new(8, 0);
    public static readonly Guid Id = Guid.Parse("01890a5d-ac96-774b-bcce-b302099a8001");
    private static readonly (string Person, string Number)[] Staff = [("Iris Hale", "+12025550110"), ("Tomas Reed", "+12025550111")];

    public static string PatientNumber(int i) => $"+1202555012{i}";

    public static string? PersonAt(string number) => Staff.FirstOrDefault(s => s.Number == number).Person;

    public static async Task Open(IServiceProvider parts, SimWorld world, SimStory story)
    {
        var db = parts.GetRequiredService<PortalDb>();
        db.Add(new ClinicRow
        {
            Id = Id, Name = "Wrenfold Clinic", Zone = story.Zone, EmergencyNumber = "911", ClinicLine = "202-555-0142",
            PatientNumber = ClinicNumber, PageNumber = PageNumber, QuietFrom = QuietFrom, QuietTo = QuietTo,
        });
        foreach (var number in new[] { ClinicNumber, PageNumber }) db.AnswerFor(number, story.Start);
        foreach (var (person, number) in Staff)
            if (story.Of($"shift of {person}", 100) >= 12)
                db.Add(new ShiftRow
                {
                    Person = person, Number = number, Order = 1 + Array.FindIndex(Staff, s => s.Person == person), From = story.Start - Duration.FromDays(1),
                    To = story.Of($"short shift of {person}", 4) == 0 ? story.Start + Duration.FromMinutes(story.Of($"shift ends {person}", 300)) : story.End,
                });
        var shared = story.Of("two on one number", 8) == 0;
        var together = story.Of("steps together", 3) > 0;                          // everybody's first, second and third in the same minute: they go several at once
        for (var i = 0; i < Patients; i++)
        {
            var patient = new PatientRow { Name = $"Patient {i}", Number = PatientNumber(shared && i == 1 ? 0 : i), AgreedToTextsAt = story.Of($"agreed {i}", 10) == 0 ? null : story.Start };
            db.Add(patient);
            for (var n = 0; n < 3; n++)
            {
                if (world.LeftOut($"steps of patient {i}")) continue;
                var step = new StepRow
                {
                    ClinicId = Id, TreatmentId = patient.Id, PatientId = patient.Id, StepId = $"s{n}", From = "sim.v1", Kind = StepKind.CheckIn, TextId = "aftercare-filler-day-1", MissedWithinHours = 12,
                    MissedThen = story.Of($"missed {i} {n}", 2) == 0 ? MissedAction.Merge : MissedAction.Skip,
                    DueAt = story.Start + Duration.FromMinutes(story.Of(together ? $"step {n}" : $"step {i} {n}", 480)), State = StepState.Planned, StateAt = story.Start,
                };
                db.Add(step);
                db.Enqueue(PlanAftercare.SendStep, step.Id.ToString(), step.DueAt, JobTable.EverydayLane);
            }
        }

        await db.SaveChangesAsync();
    }
}
