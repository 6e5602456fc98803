using AftercarePortal.Web.Features.Aftercare;
using AftercarePortal.Web.Features.Escalations;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Rota;
using AftercarePortal.Web.Features.Staff;
using AftercarePortal.Web.Features.Treatment;
using AftercarePortal.Web.Jobs;

namespace AftercarePortal.Web.Features.Operations;

/// <summary>What a kind of job does, in words.</summary>
internal static class JobWords
{
    /// <summary>The kind itself when there are no words for it.</summary>
    public static string Of(string kind) => kind switch
    {
        MessageJobs.Read => "reading a patient's message",
        MessageJobs.Send => "sending a text or placing a call",
        MessageJobs.HeardOf => "seeing whether a page was sent",
        MessageJobs.StaffReply => "acting on a text of staff",
        MessageJobs.FetchMedia => "fetching a photo",
        MessageJobs.PhotoNotFetched => "noting that a photo could not be fetched",
        MessageJobs.NotDelivered => "acting on a text that did not arrive",
        MessageJobs.Delivered => "noting that the patient was told",
        MessageJobs.ReadIntake => "reading words of an intake",
        JobRunner.JobFails => "seeing to a message that cannot be read",
        EscalationJobs.Unread => "giving a message nothing could read to a person",
        StaffJobs.LetGo => "giving back the reports of somebody let go",
        StaffJobs.Changed => "telling somebody of staff that their account was changed",
        RotaJobs.ShiftBegins => "sending a test page at the beginning of a shift",
        RotaJobs.TestDue => "seeing whether a test page was taken",
        EscalationJobs.AckDue => "paging the next person",
        EscalationJobs.Taken => "telling the patient that somebody took the report",
        EscalationJobs.OutcomeDue => "asking for an outcome",
        PlanAftercare.SendStep => "sending a step of an aftercare plan",
        SignRecord.PlanAftercare => "planning aftercare",
        SignRecord.PlanAnew => "planning aftercare anew after a record was put right",
        JobRunner.JobParked => "paging staff about something that could not be done",
        _ => kind,
    };
}
