namespace AftercarePortal.Web.Tests.Proof;

/// <summary>When the portal is killed, counted from a warning sign's arrival.</summary>
public enum Moment
{
    The_carrier_got_its_200,
    The_reading_is_stored,
    /// <summary>The carrier has the request on its line and has not looked at it.</summary>
    The_carrier_holds_the_page,
    /// <summary>The carrier took it, and its answer never arrives.</summary>
    The_carrier_took_the_page_without_answering,
    The_carrier_answered_the_first,
}
